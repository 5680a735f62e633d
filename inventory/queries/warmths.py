"""Warmths: how warm a place was kept, stretch by stretch."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from operator import itemgetter

from inventory.models import Location, Warmth

Change = tuple[datetime, int | None]
"""Since when a place is kept how warm, in thousandths of a degree Celsius; None where nobody knows."""


def warmth_of(place: Location, moment: datetime) -> int | None:
    """Return how warm the place was kept at the moment, in thousandths of a degree Celsius, or None if nobody knows."""
    return warmth_at(changes_of(place), place.nominal_milli_c, moment)


def stretches(place: Location, start: datetime, end: datetime) -> Iterator[tuple[datetime, datetime, int | None]]:
    """Yield the stretches of a place between two moments, the last first, as `cut` does."""
    return cut(changes_of(place), place.nominal_milli_c, start, end)


def changes_of(place: Location) -> list[Change]:
    """Return the changes of a place in order of time; those that were read along with it cost no question."""
    rows = sorted(place.warmths.all(), key=lambda row: row.pk)
    return latest([(row.since, row.milli_c) for row in rows])


def changes_from(place: Location, moment: datetime) -> list[Change]:
    """Return the changes of a place from the moment on, and before them the one that held until then."""
    rows = Warmth.objects.filter(location=place)
    before = rows.filter(since__lt=moment).order_by("-since", "-pk")[:1]
    after = rows.filter(since__gte=moment).order_by("since", "pk")
    return latest([(row.since, row.milli_c) for row in [*before, *after]])


def latest(changes: Iterable[Change]) -> list[Change]:
    """Return the changes in order of time; of several for one moment the last."""
    return sorted(dict(changes).items())


def warmth_at(changes: Sequence[Change], before: int | None, moment: datetime) -> int | None:
    """Return what was so at the moment, or `before` where no change had come yet. The changes are in order of time."""
    told = bisect_right(changes, moment, key=itemgetter(0))
    return changes[told - 1][1] if told else before


def cut(
    changes: Sequence[Change], before: int | None, start: datetime, end: datetime
) -> Iterator[tuple[datetime, datetime, int | None]]:
    """Yield the stretches between two moments, the last first: from, until, and how warm. None is empty.

    Two that follow each other are never equally warm, so saying the same again changes nothing.
    """
    kept: list[Change] = [(start, warmth_at(changes, before, start))]
    kept += [
        change
        for change, earlier in zip(changes, [(start, before), *changes], strict=False)
        if start < change[0] < end and change[1] != earlier[1]
    ]
    ends = [*(since for since, _ in kept[1:]), end]
    for (since, milli_c), until in reversed(list(zip(kept, ends, strict=True))):
        if since < until:
            yield since, until, milli_c
