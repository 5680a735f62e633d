"""Stays: where a part of a lot has lain and for how long, and how warm it was kept there."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from inventory.models import Event, Location, Lot, Posting

_MILLI = 1000
_SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class Leg:
    """A stretch of a lot's time in one place."""

    location: Location
    start: datetime
    end: datetime

    @property
    def days(self) -> float:
        """How long it lay there."""
        return (self.end - self.start).total_seconds() / _SECONDS_A_DAY

    @property
    def warmth_c(self) -> float | None:
        """How warm the place is kept, or None where that is not known; a pallet is as warm as where it stands."""
        unit = getattr(self.location, "logistic_unit", None)
        milli = unit.stands_in.nominal_milli_c if unit else self.location.nominal_milli_c
        return None if milli is None else milli / _MILLI


def movements_of(lots: Sequence[Lot]) -> Mapping[int, list[Posting]]:
    """Return by lot what moved it, the last first, in one statement; what was reversed is left out."""
    rows = Posting.objects.filter(lot__in=lots, event__reversed_by=None)
    rows = rows.exclude(event__kind=Event.Kind.REVERSE).select_related(
        "event", "from_location__logistic_unit__stands_in", "to_location__logistic_unit__stands_in"
    )
    movements: dict[int, list[Posting]] = defaultdict(list)
    for row in rows.order_by("-event__happened_at", "-pk"):
        movements[row.lot_id].append(row)
    return movements


def legs_since(place: Location, movements: Sequence[Posting], since: datetime, end: datetime) -> list[Leg]:
    """Return where the part that lies in `place` at `end` lay since a moment, the last place first."""
    return [replace(leg, start=max(leg.start, since)) for leg in _legs(place, movements, end) if leg.end > since]


def _legs(place: Location, movements: Sequence[Posting], end: datetime) -> Iterator[Leg]:
    """Yield where the part lay, the last place first, back to where the lot came from."""
    for movement in movements:
        if movement.to_location_id != place.pk or movement.event.happened_at > end:
            continue
        yield Leg(movement.to_location, movement.event.happened_at, end)
        place, end = movement.from_location, movement.event.happened_at
        if not place.is_inside:
            return
