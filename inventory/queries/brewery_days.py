"""The brewery's days for the database, which knows no time zones: how far its clock is ahead of UTC, since when."""

import functools
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from brewery.kernel.clock import brewery_zone
from inventory.models import ClockOffset

FIRST, LAST = datetime(1970, 1, 1, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)
"""Between these, the zone's changes are known; before and after them, what is in force at them is taken to hold."""
BEGINNING = datetime(1, 1, 1, tzinfo=UTC)


def offsets() -> list[tuple[datetime, int]]:
    """Return since when the brewery's clock is how many seconds ahead of UTC, as its time zone is set now."""
    return list(_offsets_of(brewery_zone()))


def days_are_the_brewerys_own(using: str = "default") -> bool:
    """Whether the database tells days as the brewery's time zone does."""
    return list(ClockOffset.objects.using(using).values_list("since", "seconds")) == offsets()


@functools.cache
def _offsets_of(zone: ZoneInfo) -> tuple[tuple[datetime, int], ...]:
    return tuple(_changes(zone))


def _changes(zone: ZoneInfo) -> Iterator[tuple[datetime, int]]:
    here, known = FIRST, _seconds(FIRST, zone)
    yield BEGINNING, known
    while here < LAST:
        later = here + timedelta(days=1)
        if _seconds(later, zone) != known:
            yield _change(here, later, zone), (known := _seconds(later, zone))
        here = later


def _change(before: datetime, after: datetime, zone: ZoneInfo) -> datetime:
    """Return the whole second between the two at which the offset changes."""
    known = _seconds(before, zone)
    while after - before > timedelta(seconds=1):
        middle = before + timedelta(seconds=(after - before) // timedelta(seconds=2))
        before, after = (middle, after) if _seconds(middle, zone) == known else (before, middle)
    return after


def _seconds(moment: datetime, zone: ZoneInfo) -> int:
    offset = moment.astimezone(zone).utcoffset()
    return round(offset.total_seconds()) if offset else 0
