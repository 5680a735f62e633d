"""The delivery note on paper: what went to whom, by lot and pallet, and what is recorded of its allergens."""

from collections import defaultdict
from pathlib import Path
from typing import Any

from django.conf import settings

from brewery.kernel.clock import on_the_wall
from brewery.kernel.documents import compiled
from brewery.production.models import Shipment
from brewery.production.queries.delivery_notes import ShippedLine, lines_shipped, lots_of
from brewery.science.allergens import CAUTION
from brewery.science.units import format_micro
from inventory.models import Material
from inventory.services.allergens import declared

TEMPLATE = Path(__file__).with_name("delivery_note.typ")
SCREEN_DPI = 80.0
BOXES = ("Loaded by", "Driver", "Received, count and condition checked")


def note_as_pdf(shipment: Shipment) -> bytes:
    """Return the delivery note as a PDF of A4 pages. The same shipment gives the same bytes."""
    (document,) = compiled(TEMPLATE, data_of(shipment))
    return document


def note_as_png(shipment: Shipment) -> list[bytes]:
    """Return the same pages as pictures."""
    return compiled(TEMPLATE, data_of(shipment), "png", SCREEN_DPI)


def data_of(shipment: Shipment) -> dict[str, Any]:
    """Return all the words of the delivery note, ready to be set."""
    lines = lines_shipped(shipment.event)
    order = shipment.order
    return {
        "title": f"Delivery note {shipment.note_number}",
        "day": on_the_wall(shipment.event.happened_at),
        "brewery": _by_commas(settings.BREWERY_NAME),
        "reversed": _reversed(shipment),
        "customer": _customer(shipment),
        "deliver_to": _by_commas(order.deliver_to) if order else [],
        "facts": _facts(shipment),
        "lines": [_line(line) for line in lines],
        "totals": _totals(lines),
        "allergens": _allergens(lines),
        "caution": CAUTION,
        "boxes": BOXES,
    }


def _by_commas(words: str) -> list[str]:
    return [part.strip() for part in words.split(",") if part.strip()]


def _reversed(shipment: Shipment) -> str:
    undone = getattr(shipment.event, "reversed_by", None)
    return (
        f"This shipment was reversed on {on_the_wall(undone.recorded_at)}: nothing goes by this note." if undone else ""
    )


def _customer(shipment: Shipment) -> str:
    posting = shipment.event.postings.select_related("to_location").first()
    return posting.to_location.name if posting else ""


def _facts(shipment: Shipment) -> list[list[str]]:
    order = shipment.order
    told = {
        "Order": order.number if order else "",
        "Your order": order.customer_reference if order else "",
        "Carrier": shipment.carrier,
        "Vehicle": shipment.vehicle,
        "Driver": shipment.driver,
        "Seal": shipment.seal,
    }
    return [[label, words] for label, words in told.items() if words]


def _line(line: ShippedLine) -> list[str]:
    best_before = line.lot.best_before.isoformat() if line.lot.best_before else "not recorded"
    return [line.lot.material.name, line.lot.code, best_before, str(line.count), line.sscc]


def _totals(lines: list[ShippedLine]) -> list[list[str]]:
    counts: dict[Material, int] = defaultdict(int)
    for line in lines:
        counts[line.lot.material] += line.count
    return [
        [material.name, str(count), f"{format_micro(count * (material.contents_micro or 0), 'L')} L"]
        for material, count in counts.items()
    ]


def _allergens(lines: list[ShippedLine]) -> list[list[str]]:
    """Return for each product what any of its lots carries, and of which malts nothing is on record."""
    told = declared(lots_of(lines))
    named: dict[str, dict[str, None]] = defaultdict(dict)
    silent: dict[str, dict[str, None]] = defaultdict(dict)
    for lot in lots_of(lines):
        one = told.get(lot.pk)
        named[lot.material.name] |= dict.fromkeys(one.named_in_eu if one else ())
        silent[lot.material.name] |= dict.fromkeys(one.silent if one else ())
    return [
        [
            product,
            ", ".join(groups) or "none on record",
            f"(nothing is on record of {', '.join(silent[product])})" if silent[product] else "",
        ]
        for product, groups in named.items()
    ]
