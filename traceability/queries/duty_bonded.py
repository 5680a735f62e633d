"""What closed periods left in bond, lot by lot: later periods are counted on from there, not from the first day."""

from datetime import date, datetime

from inventory.models import Event
from traceability.models import BondedLot, DutyClosing


def closing_to_count_from(first: date, known_by: datetime) -> DutyClosing | None:
    """Return the last closing, of any scheme, that tells what was in bond before the day, and was made by `known_by`.

    How a place stood to duty before it was closed is never told anew: so its lots stay what they are.
    """
    rows = DutyClosing.objects.filter(last__lt=first, closed_at__lte=known_by, last_event__isnull=False)
    return rows.order_by("-last", "-pk").first()


def lots_of(closing: DutyClosing) -> dict[int, int]:
    """Return what the closing left in bond by lot, in millionths of its unit."""
    return dict(BondedLot.objects.filter(closing=closing).values_list("lot", "quantity_micro"))


def newest_event(known_by: datetime) -> int:
    """Return the highest number of an event that was recorded by then; 0 where none was."""
    rows = Event.objects.filter(recorded_at__lte=known_by).order_by("-pk")
    return rows.values_list("pk", flat=True).first() or 0
