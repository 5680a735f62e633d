"""The vertical audit of a lot on paper: every record of it in order of time, on A4."""

from pathlib import Path
from typing import Any

from django.conf import settings

from brewery.kernel.clock import on_the_wall
from brewery.kernel.documents import compiled
from inventory.models import Lot
from traceability.queries.audit_entries import Entry
from traceability.queries.report import in_words
from traceability.queries.vertical_audits import record_of

TEMPLATE = Path(__file__).with_name("vertical_audit.typ")


def audit_as_pdf(lot: Lot) -> bytes:
    """Return the audit as a PDF of A4 pages. The same record gives the same bytes."""
    (document,) = compiled(TEMPLATE, data_of(lot, record_of(lot)))
    return document


def data_of(lot: Lot, entries: list[Entry]) -> dict[str, Any]:
    """Return all the words of the sheet, ready to be set."""
    return {
        "title": f"Vertical audit of lot {lot.code}",
        "brewery": settings.BREWERY_NAME,
        "facts": _facts(lot),
        "entries": [_entry(one) for one in entries],
    }


def _facts(lot: Lot) -> list[list[str]]:
    told = {
        "Material": lot.material.name,
        "Made or received": on_the_wall(lot.made_at),
        "Quantity": in_words(lot.total_micro, lot.material.base_unit),
        "Supplier": lot.supplier.name if lot.supplier else "",
        "Supplier's lot": lot.supplier_lot,
        "Best before": lot.best_before.isoformat() if lot.best_before else "",
        "Disposition": lot.get_disposition_display(),
        "Mistake": "what made this lot has been reversed; it counts for nothing" if lot.reversed_by_id else "",
    }
    return [[label, words] for label, words in told.items() if words]


def _entry(one: Entry) -> list[str]:
    event = f"event {one.event}" if one.event else ""
    who = f"{one.who}, {on_the_wall(one.recorded_at)}"
    return [on_the_wall(one.happened_at), one.sort.value, one.words, one.why, one.undone, who, event]
