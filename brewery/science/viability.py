"""Viability: how the living share of stored yeast falls with days and warmth, and when it is too low.

For dates of warning only: pitching needs a fresh count. True decay is slow at first and fast once glycogen is used up
(Boulton and Quain, Brewing Yeast and Fermentation). Temperatures are those of the yeast: in a cone it can be 6 to 8 K
warmer than the beer (whitelabs.com, yeast storage).
"""

import enum
import math
from collections.abc import Iterable
from itertools import pairwise

from brewery.science.ranges import Range
from brewery.science.storage import Stay, exposure, rate_from_loss
from brewery.science.yeast import VIABILITY_PCT

YEAST_C = Range(-5, 25, "°C", "Yeast above 15 °C is of no use after a few days: count it, or discard it.")

_DAYS = 6
_LOSS_PCT_BY_C = ((1, 7), (5, 14), (25, 68))
"""McCaig and Bendiak, MBAA Technical Quarterly 1985: viability lost in 6 days, taken as relative.

The 68 % is "up to", at 10 to 25 °C, and is put at 25 °C: an assumption.
"""

USUAL_WARNING_PCT = 95.0
"""MEBAK M-350.18.518 excludes yeast with 5 % dead cells or more; suppliers release above 95 %."""
USUAL_REFUSAL_PCT = 85.0
"""Common practice discards below 80 to 85 % (memory). Both are settings of a brewery."""


class ViabilityVerdict(enum.StrEnum):
    """What is to be done with yeast of a viability."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    TOO_LOW = "too low"


_RATES = tuple((float(at_c), rate_from_loss(loss_pct, _DAYS)) for at_c, loss_pct in _LOSS_PCT_BY_C)


def decay_rate_per_day(temperature_c: float) -> float:
    """Return the rate per day at which living yeast dies in store, -5 to 25 °C. Raises OutOfRange.

    Between 1, 5 and 25 °C even in its logarithm; colder than 1 °C as at 1 °C.
    """
    YEAST_C.check("temperature_c", temperature_c)
    at_c = max(temperature_c, _RATES[0][0])
    (low_c, low), (high_c, high) = next(pair for pair in pairwise(_RATES) if at_c <= pair[1][0])
    return float(low * (high / low) ** ((at_c - low_c) / (high_c - low_c)))


def viability_after_pct(counted_pct: float, stays: Iterable[Stay]) -> float:
    """Return the viability in % after the stays since it was counted. Raises OutOfRange."""
    VIABILITY_PCT.check("counted_pct", counted_pct)
    return counted_pct * math.exp(-exposure(stays, decay_rate_per_day))


def days_until_viability(limit_pct: float, counted_pct: float, temperature_c: float) -> float:
    """Return the days at one temperature until viability has fallen to a limit; 0 where it has. Raises OutOfRange."""
    VIABILITY_PCT.check("limit_pct", limit_pct)
    VIABILITY_PCT.check("counted_pct", counted_pct)
    return max(0.0, math.log(counted_pct / limit_pct) / decay_rate_per_day(temperature_c))


def judge_viability(
    viability_pct: float, warning_pct: float = USUAL_WARNING_PCT, refusal_pct: float = USUAL_REFUSAL_PCT
) -> ViabilityVerdict:
    """Return what a viability is worth: a limit itself still keeps it. Raises OutOfRange."""
    for field, value in (("viability_pct", viability_pct), ("warning_pct", warning_pct), ("refusal_pct", refusal_pct)):
        Range(0, 100, "%").check(field, value)
    if viability_pct < refusal_pct:
        return ViabilityVerdict.TOO_LOW
    return ViabilityVerdict.DOUBTFUL if viability_pct < warning_pct else ViabilityVerdict.GOOD
