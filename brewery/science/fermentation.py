"""Fermentation: a curve through the gravities of a tank, where it is to end and when, and whether it stands still.

The gravity falls along a logistic curve, as in the model of Speers, MacIntosh and others for ASBC Yeast-14 (from
memory): end + drop / (1 + exp(steepness (hours - middle))). End and drop are solved exactly for each pair of steepness
and middle, and the pairs are searched on a grid that shrinks: so no start is to be guessed and nothing can run away.
Every curve of the grid that explains the readings nearly as well as the best is believed too: the band spans them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import exp, inf, log
from statistics import fmean

from brewery.science.estimates import Estimate
from brewery.science.ranges import OutOfRange

FEWEST_READINGS = 4
SHORTEST_HOURS = 24.0
LEAST_FALL_PLATO = 1.0
"""What a curve needs (common practice, no source): fewer readings, or a flat piece, fit any curve."""

READING_ROOM_PLATO = 0.05
"""How far one reading scatters, one standard deviation: a good hydrometer read by a person (common practice)."""

NEAR_PLATO = 0.1
STILL_HOURS = 48.0
STILL_PLATO = 0.1
"""It has ended where it fell by less than 0.1 °P in two days (common practice, no source)."""

NEAR_AIM_PLATO = 0.5
CRAWLING_PLATO_PER_DAY = 0.2
FAR_FROM_AIM_PLATO = 1.0
LEAST_ATTENUATION_PCT = 60.0
"""Stuck: still while more than 0.5 °P above where it should end, or slower than 0.2 °P a day for two days while more
than 1 °P above it (common practice, no source). Where nobody said where it should end, 60 % of apparent attenuation
counts: usual are 60 to 90 %."""

UNREAD_HOURS = 72.0
"""After three days without a reading nothing is said of a tank that had not ended (common practice, no source)."""

_MOST_POINTS = 40
_STEEPNESSES, _MIDDLES, _ROUNDS = 18, 24, 12
_SLOWEST, _FASTEST = 0.01, 0.5
_LOWEST_SHARE = -0.05
_BELIEVED = 4.0
_HOURS_PER_DAY = 24
_AT_ONCE_HOURS = 1 / 60
_APART_HOURS = 6


class State(StrEnum):
    """What a fermentation is doing, as far as readings tell."""

    FERMENTING = "fermenting"
    SLOWING = "slowing"
    ENDED = "ended"
    STUCK = "stuck"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Gravity:
    """One gravity in °P, and how many hours after a moment of the asker's own it was read."""

    hours: float
    plato: float


@dataclass(frozen=True, slots=True)
class Curve:
    """Gravity in °P over hours."""

    end: float
    drop: float
    steepness: float
    middle: float

    def plato_at(self, hours: float) -> float:
        """Return the gravity after so many hours."""
        return self.end + self.drop * _fallen_short(self.steepness * (hours - self.middle))

    def hours_until(self, plato: float) -> float:
        """Return when the gravity comes down to that; infinite where it never does."""
        left = plato - self.end
        if left <= 0:
            return inf
        return self.middle + log(self.drop / left - 1) / self.steepness if left < self.drop else -inf


@dataclass(frozen=True, slots=True)
class Fit:
    """The curve through the readings, and all that are nearly as good.

    `final` is where it ends in °P, `ends_at_hours` when it is within 0.1 °P of that.
    """

    curve: Curve
    believed: tuple[Curve, ...]
    final: Estimate
    ends_at_hours: Estimate

    def band_at(self, hours: float) -> tuple[float, float]:
        """Return between which gravities the believed curves lie after so many hours."""
        found = [curve.plato_at(hours) for curve in self.believed]
        return min(found), max(found)


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a fermentation is doing and why, and how fast the gravity changes in °P a day where that is known."""

    state: State
    why: str
    rate_per_day: float | None = None


def missing_for_a_fit(readings: Sequence[Gravity]) -> str:
    """Return what a curve still needs, in a sentence, or nothing where there is enough."""
    if len(readings) < FEWEST_READINGS:
        return f"A curve needs {FEWEST_READINGS} readings of gravity; there are {len(readings)}."
    hours = [reading.hours for reading in readings]
    if max(hours) - min(hours) < SHORTEST_HOURS:
        return f"A curve needs readings over {SHORTEST_HOURS:g} hours; there are {max(hours) - min(hours):.3g}."
    in_order = sorted(readings, key=lambda reading: reading.hours)
    fall = in_order[0].plato - min(reading.plato for reading in in_order)
    if fall < LEAST_FALL_PLATO:
        return f"A curve needs a fall of {LEAST_FALL_PLATO:g} °P; there is {max(0.0, fall):.2g} °P."
    return ""


def fit(readings: Sequence[Gravity]) -> Fit:
    """Return the curve through the readings, in any order. Raises OutOfRange where there are too few."""
    missing = missing_for_a_fit(readings)
    if missing:
        raise OutOfRange("readings", len(readings), missing)
    points = _thinned(sorted(readings, key=lambda reading: reading.hours))
    tried = list(_tried(points))
    tried += _round_the_best(points, min(tried, key=_cost))
    best_cost, best = min(tried, key=_cost)
    spread = max(best_cost / max(1, len(points) - 4), READING_ROOM_PLATO**2)
    believed = (best, *(curve for cost, curve in tried if cost <= best_cost + _BELIEVED * spread))
    ends = [curve.hours_until(curve.end + NEAR_PLATO) for curve in believed]
    finals = [curve.end for curve in believed]
    return Fit(
        best,
        believed,
        Estimate(best.end, min(finals), max(finals)),
        Estimate(ends[0], min(ends), max(ends)),
    )


def judge(
    readings: Sequence[Gravity], *, now_hours: float, original_plato: float | None, aim_plato: float | None
) -> Judgement:
    """Return what the fermentation is doing by readings in any order; `aim_plato` is where it should end.

    Without one, 60 % of apparent attenuation of the original gravity counts; without either nothing is called ended or
    stuck.
    """
    in_order = sorted(readings, key=lambda reading: reading.hours)
    if len(in_order) < 2:
        return Judgement(State.UNKNOWN, "It takes two readings of gravity to tell.")
    rate, last = rate_per_day(in_order), in_order[-1]
    if aim_plato is None and original_plato is not None:
        aim_plato = original_plato * (1 - LEAST_ATTENUATION_PCT / 100)
    still = _by_stillness(in_order, rate, aim_plato)
    if still and (still.state is State.ENDED or now_hours - last.hours <= UNREAD_HOURS):
        return still
    if now_hours - last.hours > UNREAD_HOURS:
        return Judgement(State.UNKNOWN, f"Nothing was read for {(now_hours - last.hours) / 24:.3g} days.", rate)
    fastest = min((rate_between(*pair) for pair in pairwise(_spaced(in_order))), default=rate)
    moves = f"It {'falls' if rate <= 0 else 'rises'} by {abs(rate):.2g} °P a day"
    if rate > fastest / 2 and fastest < 0:
        return Judgement(State.SLOWING, f"{moves}, and fell by {-fastest:.2g}.", rate)
    return Judgement(State.FERMENTING, f"{moves}.", rate)


def rate_per_day(in_order: Sequence[Gravity]) -> float:
    """Return by how many °P a day the gravity changes now: below zero while it falls.

    The straight line through the readings of the last day, or through the last two.
    """
    last = in_order[-1]
    recent = [one for one in in_order if one.hours >= last.hours - _HOURS_PER_DAY]
    if len(recent) < 3 or last.hours - recent[0].hours < _AT_ONCE_HOURS:
        return rate_between(in_order[-2], last)
    middle, mean = fmean(one.hours for one in recent), fmean(one.plato for one in recent)
    above = sum((one.hours - middle) * (one.plato - mean) for one in recent)
    return _HOURS_PER_DAY * above / sum((one.hours - middle) ** 2 for one in recent)


def rate_between(first: Gravity, second: Gravity) -> float:
    """Return the change in °P a day between two readings; none where they were read at once."""
    hours = second.hours - first.hours
    return _HOURS_PER_DAY * (second.plato - first.plato) / hours if hours >= _AT_ONCE_HOURS else 0.0


def _spaced(in_order: Sequence[Gravity]) -> list[Gravity]:
    """Return readings some hours apart: between those of a logger there is more scatter than fall."""
    spaced = [in_order[0]]
    for reading in in_order:
        if reading.hours >= spaced[-1].hours + _APART_HOURS:
            spaced.append(reading)
    return spaced


def _by_stillness(in_order: Sequence[Gravity], rate: float, aim_plato: float | None) -> Judgement | None:
    """Return the judgement on a gravity that hardly fell in the last two days, or None where it fell or few know."""
    last = in_order[-1]
    before = [one for one in in_order if one.hours <= last.hours - STILL_HOURS]
    if not before or aim_plato is None:
        return None
    since = [before[-1], *(one for one in in_order if one.hours > before[-1].hours)]
    fall, rise = max(one.plato for one in since) - last.plato, last.plato - min(one.plato for one in since)
    if rise > CRAWLING_PLATO_PER_DAY:
        return None
    days = (last.hours - since[0].hours) / _HOURS_PER_DAY
    fell = f"It fell by {max(0.0, fall):.2g} °P in {days:.2g} days"
    above = last.plato - aim_plato
    if fall < STILL_PLATO - 1e-9 and above <= NEAR_AIM_PLATO:
        return Judgement(State.ENDED, f"{fell}, and is where it should end.", rate)
    is_crawling = fall < CRAWLING_PLATO_PER_DAY * days and above > FAR_FROM_AIM_PLATO
    if is_crawling or (fall < STILL_PLATO - 1e-9 and above > NEAR_AIM_PLATO):
        return Judgement(State.STUCK, f"{fell}, {above:.2g} °P above where it should end.", rate)
    return None


def _fallen_short(at: float) -> float:
    """Return 1 / (1 + exp(at)) without overflow."""
    return 1 / (1 + exp(at)) if at < 0 else exp(-at) / (1 + exp(-at))


def _thinned(in_order: Sequence[Gravity]) -> list[Gravity]:
    """Return the means of neighbours where there are very many readings, as of a logger."""
    size = -(-len(in_order) // _MOST_POINTS)
    groups = [in_order[start : start + size] for start in range(0, len(in_order), size)]
    return [Gravity(fmean(one.hours for one in some), fmean(one.plato for one in some)) for some in groups]


def _tried(points: Sequence[Gravity]) -> Iterator[tuple[float, Curve]]:
    """Yield the best curve of every pair on the grid with its cost: steepness by equal factors, middles evenly."""
    first, last = points[0].hours, points[-1].hours
    span = last - first
    factor = (_FASTEST / _SLOWEST) ** (1 / (_STEEPNESSES - 1))
    for step in range(_STEEPNESSES):
        for place in range(_MIDDLES):
            middle = first - span / 4 + 2 * span * place / (_MIDDLES - 1)
            yield _solved(points, _SLOWEST * factor**step, middle)


def _round_the_best(points: Sequence[Gravity], found: tuple[float, Curve]) -> list[tuple[float, Curve]]:
    """Return what ever closer looks round the best curve find, each a little narrower than the one before."""
    factor = (_FASTEST / _SLOWEST) ** (1 / (_STEEPNESSES - 1))
    reach = 2 * (points[-1].hours - points[0].hours) / (_MIDDLES - 1)
    looked: list[tuple[float, Curve]] = []
    for _ in range(_ROUNDS):
        best = found[1]
        near = [
            _solved(points, best.steepness * factor ** (up / 2), best.middle + reach * aside / 2)
            for up in (-2, -1, 0, 1, 2)
            for aside in (-2, -1, 0, 1, 2)
        ]
        looked += near
        found = min([found, *near], key=_cost)
        factor, reach = factor**0.7, reach * 0.7
    return looked


def _cost(tried: tuple[float, Curve]) -> float:
    return tried[0]


def _solved(points: Sequence[Gravity], steepness: float, middle: float) -> tuple[float, Curve]:
    """Return the least sum of squares for this shape and the curve that has it: its end between water and the start."""
    shares = [_fallen_short(steepness * (point.hours - middle)) for point in points]
    mean_share, mean = fmean(shares), fmean(point.plato for point in points)
    scatter = sum((share - mean_share) ** 2 for share in shares)
    together = sum((share - mean_share) * (point.plato - mean) for share, point in zip(shares, points, strict=True))
    drop = together / scatter if scatter > 1e-12 else 0.0
    highest = max(point.plato for point in points)
    end = min(max(mean - drop * mean_share, _LOWEST_SHARE * highest), highest)
    squares = sum(share * share for share in shares)
    drop = sum(share * (point.plato - end) for share, point in zip(shares, points, strict=True)) / (squares or 1.0)
    if drop <= NEAR_PLATO:
        return inf, Curve(highest, NEAR_PLATO * 2, steepness, middle)
    curve = Curve(end, drop, steepness, middle)
    return sum((curve.plato_at(point.hours) - point.plato) ** 2 for point in points), curve
