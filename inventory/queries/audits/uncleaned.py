"""Vessels filled without a cleaning and without a reason on record, as where a cleaning was withdrawn later."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime

from inventory.models import Cleaning, Event, Location, UncleanFill
from inventory.queries.layers import flows_at
from inventory.queries.vessels import Stay, stays_told_by


def fills_without_a_reason() -> Iterator[tuple[int, str]]:
    """Yield each event that filled such a vessel, and what lay there before."""
    vessels = list(Location.objects.vessels().filter(must_be_cleaned=True))
    cleaned: dict[int, list[datetime]] = defaultdict(list)
    for vessel, moment in Cleaning.objects.standing().values_list("vessel", "happened_at"):
        cleaned[vessel].append(moment)
    told = set(UncleanFill.objects.values_list("event", "vessel"))
    for key, flows in flows_at(vessels).items():
        for before, stay in _fills_from_empty(stays_told_by(flows)):
            if (stay.came.event, key) not in told and not _cleaned_between(before, stay, cleaned[key]):
                yield stay.came.event, f"lot {stay.lot} went into location {key}, uncleaned after lot {before.lot}"


def _fills_from_empty(stays: Sequence[Stay]) -> Iterator[tuple[Stay, Stay]]:
    """Yield what lay there last beside what came into the empty vessel; a count only found what was there."""
    for place, stay in enumerate(stays):
        earlier = stays[:place]
        if not earlier or any(other.until is None or other.until > stay.since for other in earlier):
            continue
        before = max(earlier, key=lambda other: (other.until or stay.since, other.since))
        swapped = before.left is not None and before.left.event == stay.came.event
        if not swapped and before.lot != stay.lot and stay.came.kind != Event.Kind.COUNT:
            yield before, stay


def _cleaned_between(before: Stay, stay: Stay, cleaned: Sequence[datetime]) -> bool:
    return any(before.until and before.until <= moment <= stay.since for moment in cleaned)
