"""Delivery notes: their numbers, and what went with each shipment."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from brewery.kernel.clock import brewery_day
from brewery.production.models import Shipment
from brewery.science.units import MICRO
from inventory.models import Event, Location, Lot, Posting

STEM = "DN"


@dataclass(frozen=True)
class ShippedLine:
    """So many of one lot, and the SSCC of the pallet they went on where they went on one."""

    lot: Lot
    count: int
    sscc: str = ""


def propose_note_number(day: date | None = None) -> str:
    """Return the number after the last of that day: DN, the day as YYMMDD, and a number. No shipment bears it."""
    stem = f"{STEM}{day or brewery_day():%y%m%d}-"
    borne = Event.objects.filter(kind=Event.Kind.SHIP, reference__startswith=stem).values_list("reference", flat=True)
    endings = (number.removeprefix(stem) for number in borne)
    last = max((int(ending) for ending in endings if ending.isascii() and ending.isdecimal()), default=0)
    return f"{stem}{last + 1:02d}"


def shipments() -> QuerySet[Shipment]:
    """Return the shipments, the last first, each with its event and order; `event.reversed_by` where it was undone."""
    rows = Shipment.objects.select_related("event__actor", "event__reversed_by", "order__customer")
    return rows.prefetch_related("event__postings__lot__material", "event__postings__to_location__party").order_by(
        "-event__happened_at", "-pk"
    )


def lines_shipped(event: Event) -> list[ShippedLine]:
    """Return what went, by product, lot and pallet."""
    rows = Posting.objects.filter(event=event).select_related("lot__material", "from_location")
    lines = [_line(row) for row in rows]
    return sorted(lines, key=lambda line: (line.lot.material.name, line.lot.best_before or date.max, line.lot.code))


def lots_of(lines: Iterable[ShippedLine]) -> list[Lot]:
    """Return the lots of the lines, each once, in the order of the lines."""
    return list({line.lot.pk: line.lot for line in lines}.values())


def _line(posting: Posting) -> ShippedLine:
    place = posting.from_location
    sscc = place.code if place.kind == Location.Kind.PALLET else ""
    return ShippedLine(posting.lot, posting.quantity_micro // MICRO, sscc)
