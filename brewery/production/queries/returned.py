"""Returns: what came back, what became of it, and what nobody has decided on yet."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, QuerySet

from brewery.production.models import CustomerReturn, ReturnOutcome
from brewery.science.units import MICRO
from inventory.models import Location, Lot, Posting


@dataclass(frozen=True)
class ReturnedLine:
    """So many of one lot that came back into one place, and how many of them nobody has decided on."""

    customer_return: CustomerReturn
    lot: Lot
    location: Location
    count: int
    undecided: int


def returns_in_full(since: datetime | None = None) -> QuerySet[CustomerReturn]:
    """Return the returns that were not reversed, the last first, each with what came back and what became of it."""
    postings = Posting.objects.select_related("lot__material", "from_location__party", "to_location")
    outcomes = ReturnOutcome.objects.filter(event__reversed_by=None)
    rows = CustomerReturn.objects.filter(event__reversed_by=None).select_related("event__actor")
    rows = rows.filter(event__happened_at__gte=since) if since else rows
    return rows.order_by("-event__happened_at", "-pk").prefetch_related(
        Prefetch("event__postings", postings),
        Prefetch("outcomes", outcomes.select_related("lot__material", "location", "event__actor")),
    )


def lines_of(back: CustomerReturn) -> list[ReturnedLine]:
    """Return what came back in a return of `returns_in_full`, lot by lot."""
    decided: dict[tuple[int, int], int] = defaultdict(int)
    for outcome in back.outcomes.all():
        decided[outcome.lot_id, outcome.location_id] += outcome.count
    lines = []
    for posting in back.event.postings.all():
        count = posting.quantity_micro // MICRO
        left = count - decided[posting.lot_id, posting.to_location_id]
        lines.append(ReturnedLine(back, posting.lot, posting.to_location, count, max(0, left)))
    return lines


def undecided_of(lots: Iterable[Lot]) -> dict[tuple[int, int], int]:
    """Return how many of the lots came back and wait for a decision, by lot and place."""
    waiting: dict[tuple[int, int], int] = defaultdict(int)
    rows = returns_in_full().filter(event__postings__lot__in=list(lots)).distinct()
    for line in (line for back in rows for line in lines_of(back)):
        waiting[line.lot.pk, line.location.pk] += line.undecided
    return dict(waiting)
