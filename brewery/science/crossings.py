"""Crossings: when things that decay reach their limits, for many at once, by a clock of each place.

A clock adds up the rate of decay in a place, whatever lies there. What a thing has spent in a place is then what its
clock ran meanwhile, and when it will have spent its limit is read off the same clock backwards: nothing walks through
the readings of a place once for each thing that lay there. The sums of one thing never depend on which others are
worked out beside it, to the last bit, so that what is kept can be held against what is worked out anew.

Moments are whole milliseconds since 1970 in UTC, rates are per day.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brewery.science.ranges import OutOfRange

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

DAY_MS = 86_400_000
FAR_MS = 1 << 43
"""The year 2248: what is not spent by then never is."""
_SPAN = FAR_MS + 1
"""One more, so that the end of one place is not the beginning of the next."""
NEVER = float("inf")
UNKNOWN = float("nan")


@dataclass(frozen=True, slots=True)
class Warmths:
    """How warm places are kept: from `since_ms` on at `celsius` (NaN: nobody knows), until the next row of the place.

    Places are numbered from 0 without a gap; rows lie in the order of place and time, and the first of each place
    reaches back to 0.
    """

    place: Ints
    since_ms: Ints
    celsius: Floats


@dataclass(frozen=True, slots=True)
class Legs:
    """Where things lay: each row one of `things`, a place, from when until when, and by what its rate is multiplied.

    Rows lie in the order of thing and time. The last of a thing ends at FAR_MS: there it stays.
    """

    thing: Ints
    place: Ints
    start_ms: Ints
    end_ms: Ints
    protection: Floats

    def in_turn(self) -> Iterator[Ints]:
        """Yield the first row of every thing, then the second of those that have one, and so on."""
        if not len(self.thing):
            return
        starts = np.flatnonzero(np.diff(self.thing, prepend=-1))
        turn = np.arange(len(self.thing)) - np.repeat(starts, np.diff(starts, append=len(self.thing)))
        order = np.argsort(turn, kind="stable")
        yield from np.split(order, np.flatnonzero(np.diff(turn[order])) + 1)


class Clock:
    """What a rate of decay adds up to in each place. `law` gives the rate per day at temperatures in °C, or NaN."""

    def __init__(self, warmths: Warmths, law: Callable[[Floats], Floats]) -> None:
        rate = law(warmths.celsius)
        self._unknown = np.isnan(rate)
        self._rate = np.where(self._unknown, 0.0, rate)
        self._since = warmths.since_ms
        self._key = warmths.place * _SPAN + warmths.since_ms
        self._first = np.flatnonzero(np.diff(warmths.place, prepend=-1))
        self._end = np.append(self._first[1:], len(warmths.place))
        self._run = self._summed(self._rate)
        self._dark = self._summed(self._unknown.astype(np.float64))

    def between(self, place: Ints, start_ms: Ints, end_ms: Ints) -> Floats:
        """Return what the rate of each place adds up to between two moments; what is not known counts as nothing."""
        return self._at(place, end_ms, self._run, self._rate) - self._at(place, start_ms, self._run, self._rate)

    def is_dark(self, place: Ints, start_ms: Ints, end_ms: Ints) -> NDArray[np.bool_]:
        """Return where the rate is not known for some of the time between two moments."""
        unknown = self._unknown.astype(np.float64)
        ran = self._at(place, end_ms, self._dark, unknown) - self._at(place, start_ms, self._dark, unknown)
        return np.asarray(ran > 0)

    def reach(self, place: Ints, start_ms: Ints, amount: Floats) -> Floats:
        """Return the moment at which the rate has added up to so much since a start, in whole ms; or NEVER."""
        wanted = self._at(place, start_ms, self._run, self._rate) + amount
        row = self._last_row_below(place, wanted)
        with np.errstate(divide="ignore", invalid="ignore"):
            after = (wanted - self._run[row]) / self._rate[row] * DAY_MS
        reached = np.maximum(np.rint(self._since[row] + np.where(after > 0, after, 0.0)), start_ms)
        return np.where(reached < FAR_MS, reached, NEVER)

    def _summed(self, rate: Floats) -> Floats:
        days = np.diff(self._since, append=0) / DAY_MS
        total = np.zeros(len(rate))
        for first, end in zip(self._first, self._end, strict=True):
            np.cumsum((rate * days)[first : end - 1] if end - first > 1 else [], out=total[first + 1 : end])
        return total

    def _at(self, place: Ints, moment: Ints, total: Floats, rate: Floats) -> Floats:
        row = np.searchsorted(self._key, place * _SPAN + moment, side="right") - 1
        return total[row] + rate[row] * ((moment - self._since[row]) / DAY_MS)

    def _last_row_below(self, place: Ints, wanted: Floats) -> Ints:
        """Halve the rows of each place until one is left."""
        low, high = self._first[place], self._end[place]
        while np.any(high - low > 1):
            middle = (low + high) // 2
            # Past the end of what is halved already, the middle is its low itself.
            is_below = (self._run[middle] < wanted) | (middle == low)
            low, high = np.where(is_below, middle, low), np.where(is_below, high, middle)
        return np.asarray(low)


def tabled(law: Callable[[float], float]) -> Callable[[Floats], Floats]:
    """Return a law of single temperatures as one of many at once; NaN where it is published of none.

    Places are seldom kept at more than a few hundred different temperatures, and each is looked up once.
    """

    def rates(celsius: Floats) -> Floats:
        different, which = np.unique(celsius, return_inverse=True)
        return np.array([_rate(law, float(one)) for one in different], dtype=np.float64)[which]

    return rates


def _rate(law: Callable[[float], float], celsius: float) -> float:
    try:
        return UNKNOWN if math.isnan(celsius) else law(celsius)
    except OutOfRange:
        return UNKNOWN


def clipped(legs: Legs, starts_ms: Ints, ends_ms: Ints) -> Legs:
    """Return what of the legs lies between two moments of each thing."""
    start = np.maximum(legs.start_ms, starts_ms[legs.thing])
    end = np.minimum(legs.end_ms, ends_ms[legs.thing])
    kept = start < end
    return Legs(legs.thing[kept], legs.place[kept], start[kept], end[kept], legs.protection[kept])


def spent(legs: Legs, clock: Clock, things: int) -> Floats:
    """Return for each of so many things what it spent in all its legs; UNKNOWN where some of that is not known."""
    total = np.zeros(things)
    for rows in legs.in_turn():
        place, start, end = legs.place[rows], legs.start_ms[rows], legs.end_ms[rows]
        ran = clock.between(place, start, end) * legs.protection[rows]
        total[legs.thing[rows]] += np.where(clock.is_dark(place, start, end), UNKNOWN, ran)
    return total


def crossings(limits: Floats, legs: Legs, clock: Clock) -> Floats:
    """Return for each thing the moment, in ms, at which it has spent its limit.

    `limits` has one for each thing, in what the clock adds up; NaN for a thing of which none is known. The moment is
    NEVER where that is so, and UNKNOWN where the limit is, or how warm the thing was kept before it came to it.
    """
    left = limits.copy()
    when = np.where(np.isnan(limits), UNKNOWN, NEVER)
    is_open = ~np.isnan(limits)
    for rows in legs.in_turn():
        rows = rows[is_open[legs.thing[rows]]]
        _spend(rows, legs, clock, left, when, is_open)
    return when


def _spend(rows: Ints, legs: Legs, clock: Clock, left: Floats, when: Floats, is_open: NDArray[np.bool_]) -> None:
    thing, place, start, end = legs.thing[rows], legs.place[rows], legs.start_ms[rows], legs.end_ms[rows]
    protection = legs.protection[rows]
    spent = clock.between(place, start, end) * protection
    with np.errstate(divide="ignore", invalid="ignore"):
        ran = np.where(left[thing] > 0, left[thing] / protection, 0.0)
    is_over = left[thing] <= spent
    reached = np.where(is_over, clock.reach(place, start, np.where(is_over, ran, 0.0)), NEVER)
    dark = clock.is_dark(place, start, np.minimum(reached, end).astype(np.int64))
    when[thing] = np.where(dark, UNKNOWN, np.where(is_over, np.minimum(reached, end), NEVER))
    left[thing] -= spent
    is_open[thing] = ~(dark | is_over)
