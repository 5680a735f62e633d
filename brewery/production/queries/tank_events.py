"""What happened last in a vessel or with a lot, and what of it can still be undone."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from brewery.kernel.clock import on_the_wall
from inventory.models import Event, Location, Lot, Posting

SHOWN = 12
UNDONE_ELSEWHERE = (Event.Kind.KNOCK_OUT, Event.Kind.PACKAGE)
"""Undone where they were done, since more than the tank goes with them."""


@dataclass(frozen=True)
class DoneEvent:
    """One event with what it moved in `lines`, each posting after the words that say whither."""

    event: Event
    lines: tuple[tuple[str, Posting], ...]
    cannot_be_undone: str


def last_events_in(vessel: Location) -> list[DoneEvent]:
    """Return the last events in the vessel that stand, the latest first; three statements."""

    def lines(event: Event) -> Iterator[tuple[str, Posting]]:
        for row in event.postings.all():
            if vessel.pk in (row.from_location_id, row.to_location_id):
                yield ("in" if row.to_location_id == vessel.pk else "out"), row

    return _last(Posting.objects.filter(Q(from_location=vessel) | Q(to_location=vessel)), lines)


def last_events_with(lot: Lot) -> list[DoneEvent]:
    """Return the last events that moved something of the lot and stand, the latest first; three statements."""

    def lines(event: Event) -> Iterator[tuple[str, Posting]]:
        for row in event.postings.all():
            to_stock = row.to_location.is_inside
            yield (f"into {row.to_location.name}" if to_stock else f"out of {row.from_location.name}"), row

    return _last(Posting.objects.filter(lot=lot), lines)


def _last(there: QuerySet[Posting], lines: Callable[[Event], Iterator[tuple[str, Posting]]]) -> list[DoneEvent]:
    events = Event.objects.filter(pk__in=there.values("event"), reversed_by=None).exclude(kind=Event.Kind.REVERSE)
    rows = list(
        events.select_related("actor")
        .prefetch_related("made_lots", "postings__lot__material", "postings__from_location", "postings__to_location")
        .order_by("-happened_at", "-pk")[:SHOWN]
    )
    used = _uses_of(lot.pk for event in rows for lot in event.made_lots.all())
    return [DoneEvent(event, tuple(lines(event)), _why_not(event, _later(event, used))) for event in rows]


def _later(event: Event, used: dict[int, list[Posting]]) -> list[Posting]:
    return [row for lot in event.made_lots.all() for row in used[lot.pk] if row.event_id != event.pk]


def _why_not(event: Event, later: list[Posting]) -> str:
    if event.kind in UNDONE_ELSEWHERE:
        return f"The {event.get_kind_display()} is undone where it was done."
    if not later:
        return ""
    first = min(later, key=lambda row: (row.event.happened_at, row.pk))
    return (
        f"It cannot be undone: lot {first.lot.code} was used since, by {first.event.get_kind_display()} at "
        f"{on_the_wall(first.event.happened_at)}. Undo that first."
    )


def _uses_of(lots: Iterable[int]) -> dict[int, list[Posting]]:
    """Return by lot what of its postings stands."""
    rows = Posting.objects.filter(lot__in=list(lots), event__reversed_by=None)
    used: dict[int, list[Posting]] = defaultdict(list)
    for row in rows.exclude(event__kind=Event.Kind.REVERSE).select_related("event", "lot"):
        used[row.lot_id].append(row)
    return used
