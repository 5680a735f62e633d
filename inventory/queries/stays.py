"""Stays: where a part of a lot has lain and for how long, and how warm it was kept there."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from inventory.models import Event, Location, Lot, Posting
from inventory.queries.warmths import stretches

_MILLI = 1000
_SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class Leg:
    """A stretch of a lot's time in one place, and how warm it was there, in thousandths of a degree Celsius."""

    location: Location
    start: datetime
    end: datetime
    milli_c: int | None = None

    @property
    def days(self) -> float:
        """How long it lay there."""
        return (self.end - self.start).total_seconds() / _SECONDS_A_DAY

    @property
    def warmth_c(self) -> float | None:
        """How warm the place was kept, or None where that is not known."""
        return None if self.milli_c is None else self.milli_c / _MILLI


def movements_of(lots: Sequence[Lot]) -> Mapping[int, list[Posting]]:
    """Return by lot what moved it, the last first, and how warm the places were kept; what was reversed is left out.

    The same few statements however many lots.
    """
    rows = Posting.objects.filter(lot__in=lots, event__reversed_by=None)
    rows = rows.exclude(event__kind=Event.Kind.REVERSE).select_related(
        "event", "from_location", "to_location__logistic_unit__stands_in"
    )
    rows = rows.prefetch_related("to_location__warmths", "to_location__logistic_unit__stands_in__warmths")
    movements: dict[int, list[Posting]] = defaultdict(list)
    for row in rows.order_by("-event__happened_at", "-pk"):
        movements[row.lot_id].append(row)
    return movements


def legs_since(place: Location, movements: Sequence[Posting], since: datetime, end: datetime) -> list[Leg]:
    """Return where the part that lies in `place` at `end` lay since a moment, and how warm, the last stretch first.

    A pallet is as warm as where it stands now. What was drawn for a brew and came back counts, for the hours between,
    as warm as where it came back to.
    """
    pieces: list[Leg] = []
    kept_in = place
    for leg in _legs(place, movements, end):
        if leg.location.kind != Location.Kind.PROCESS:
            kept_in = leg.location
        if leg.end > since:
            pieces += _by_warmth(replace(leg, start=max(leg.start, since)), kept_in)
    return pieces


def _by_warmth(leg: Leg, place: Location) -> Iterator[Leg]:
    unit = getattr(place, "logistic_unit", None)
    for start, end, milli_c in stretches(unit.stands_in if unit else place, leg.start, leg.end):
        yield replace(leg, start=start, end=end, milli_c=milli_c)


def _legs(place: Location, movements: Sequence[Posting], end: datetime) -> Iterator[Leg]:
    """Yield where the part lay, the last place first, back to where the lot came from."""
    for movement in movements:
        if movement.to_location_id != place.pk or movement.event.happened_at > end:
            continue
        yield Leg(movement.to_location, movement.event.happened_at, end)
        place, end = movement.from_location, movement.event.happened_at
        if not place.is_inside:
            return
