"""Climate of a store: how long it was out of its limits, and what its temperatures amount to.

A reading holds from its moment until the next, as loggers say; how a history is cut into readings changes nothing.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

KELVIN = 273.15
ACTIVATION_K = 10_000.0
"""The usual activation energy over the gas constant: Haynes, J. Pharm. Sci. 60:927 (1971), from memory."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """From a moment until another at one temperature in °C."""

    start: datetime
    end: datetime
    celsius: float

    @property
    def hours(self) -> float:
        """How long it is."""
        return (self.end - self.start) / timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Excursion:
    """A time outside of the limits, and the temperature furthest outside."""

    start: datetime
    end: datetime
    worst_c: float
    is_warm: bool

    @property
    def hours(self) -> float:
        """How long it was."""
        return (self.end - self.start) / timedelta(hours=1)


def stretches_of(readings: Iterable[tuple[datetime, float]], until: datetime) -> list[Stretch]:
    """Return the stretches between readings, in order of time, the last until then; of two for a moment the later told.

    Readings after `until` are left out.
    """
    told = sorted(dict(readings).items())
    inside = [one for one in told if one[0] < until]
    ends = [at for at, _ in inside[1:]] + [until] * bool(inside)
    return [Stretch(at, end, celsius) for (at, celsius), end in zip(inside, ends, strict=True)]


def excursions(
    stretches: Sequence[Stretch],
    least_c: float | None,
    most_c: float | None,
    tolerated: timedelta = timedelta(0),
) -> list[Excursion]:
    """Return the times outside of the limits that lasted longer than is tolerated, in order.

    What is warm and what is cold are apart, though they follow each other.
    """
    found: list[Excursion] = []
    for one in stretches:
        side = _side(one.celsius, least_c, most_c)
        if side is None:
            continue
        last = found[-1] if found else None
        if last and last.end == one.start and last.is_warm == side:
            worst = max(last.worst_c, one.celsius) if side else min(last.worst_c, one.celsius)
            found[-1] = Excursion(last.start, one.end, worst, side)
        else:
            found.append(Excursion(one.start, one.end, one.celsius, side))
    return [one for one in found if one.end - one.start > tolerated]


def _side(celsius: float, least_c: float | None, most_c: float | None) -> bool | None:
    """Return whether it is too warm (True), too cold (False) or neither."""
    if most_c is not None and celsius > most_c:
        return True
    return False if least_c is not None and celsius < least_c else None


def mean_c(stretches: Sequence[Stretch]) -> float | None:
    """Return the mean over time, or None of no time."""
    hours = math.fsum(one.hours for one in stretches)
    return math.fsum(one.celsius * one.hours for one in stretches) / hours if hours else None


def mean_kinetic_c(stretches: Sequence[Stretch]) -> float | None:
    """Return the one temperature at which as much would have decayed: never below the mean. None of no time.

    -ΔH/R / ln(mean over time of exp(-ΔH/(R·T))): Haynes 1971; USP 1079.2, both from memory.
    """
    hours = math.fsum(one.hours for one in stretches)
    if not hours:
        return None
    rate = math.fsum(math.exp(-ACTIVATION_K / (one.celsius + KELVIN)) * one.hours for one in stretches) / hours
    return -ACTIVATION_K / math.log(rate) - KELVIN


def gaps(moments: Sequence[datetime], until: datetime, longest: timedelta) -> list[tuple[datetime, datetime]]:
    """Return the times longer than `longest` in which nothing was read, the one up to `until` among them."""
    ends = [*moments[1:], until]
    return [(at, end) for at, end in zip(moments, ends, strict=True) if end - at > longest]
