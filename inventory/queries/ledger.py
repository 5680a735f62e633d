"""The ledger of one lot."""

from dataclasses import dataclass
from datetime import datetime

from inventory.models import Event, Location, Lot, Posting


@dataclass(frozen=True)
class LedgerRow:
    """One posting of a lot with its event; `is_reversed` where the event or the mistake it reverses is undone."""

    event: Event
    from_location: Location
    to_location: Location
    quantity_micro: int
    is_reversed: bool


def ledger_of(lot: Lot, as_of: datetime | None = None) -> list[LedgerRow]:
    """Return every posting of the lot, the oldest first; with `as_of`, those that had happened by then."""
    postings = Posting.objects.filter(lot=lot)
    if as_of:
        postings = postings.filter(event__happened_at__lte=as_of)
    rows = postings.select_related("event__actor", "event__reversed_by", "from_location", "to_location")
    return [
        LedgerRow(row.event, row.from_location, row.to_location, row.quantity_micro, _is_undone(row.event))
        for row in rows.order_by("event__happened_at", "event", "pk")
    ]


def _is_undone(event: Event) -> bool:
    return event.reverses_id is not None or hasattr(event, "reversed_by")
