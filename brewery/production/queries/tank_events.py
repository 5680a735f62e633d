"""What happened last in a vessel, and what of it can still be undone."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from brewery.kernel.clock import on_the_wall
from inventory.models import Event, Location, Posting

SHOWN = 12
UNDONE_ELSEWHERE = (Event.Kind.KNOCK_OUT, Event.Kind.PACKAGE)
"""Undone where they were done, since more than the tank goes with them."""


@dataclass(frozen=True)
class TankEvent:
    """One event that moved something into or out of a vessel. `in_micro` and `out_micro` are of the vessel."""

    event: Event
    made: tuple[str, ...]
    moved: tuple[Posting, ...]
    vessel: Location
    cannot_be_undone: str

    @property
    def lines(self) -> list[tuple[str, Posting]]:
        """What went in and out: the direction in a word, and the posting."""
        return [("in" if row.to_location_id == self.vessel.pk else "out", row) for row in self.moved]


def last_events_in(vessel: Location) -> list[TankEvent]:
    """Return the last events in the vessel that stand, the latest first; three statements."""
    there = Posting.objects.filter(Q(from_location=vessel) | Q(to_location=vessel)).values("event")
    events = Event.objects.filter(pk__in=there, reversed_by=None).exclude(kind=Event.Kind.REVERSE)
    rows = list(
        events.select_related("actor")
        .prefetch_related("made_lots", "postings__lot__material", "postings__from_location", "postings__to_location")
        .order_by("-happened_at", "-pk")[:SHOWN]
    )
    used = _uses_of(lot.pk for event in rows for lot in event.made_lots.all())
    return [_told(event, vessel, used) for event in rows]


def _told(event: Event, vessel: Location, used: dict[int, list[Posting]]) -> TankEvent:
    made = list(event.made_lots.all())
    later = [row for lot in made for row in used[lot.pk] if row.event_id != event.pk]
    moved = [row for row in event.postings.all() if vessel.pk in (row.from_location_id, row.to_location_id)]
    return TankEvent(event, tuple(lot.code for lot in made), tuple(moved), vessel, _why_not(event, later))


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
