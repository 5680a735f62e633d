"""Control limits: what one brew after another of the same beer does by chance, by single values and moving ranges."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi, sqrt

from brewery.science.ranges import OutOfRange

# The range of two normal values of deviation 1 has the mean 2/sqrt(pi) = 1.128 and the deviation sqrt(2 - 4/pi).
_MEAN_OF_RANGE = 2 / sqrt(pi)
_DEVIATION_OF_RANGE = sqrt(2 - 4 / pi)
SIGMAS = 3
"""Limits lie three standard deviations out, as Shewhart set them (Economic Control of Quality, 1931; memory)."""


@dataclass(frozen=True, slots=True)
class ControlLimits:
    """The limits of a chart of single values and of its chart of moving ranges, which starts at nought."""

    mean: float
    low: float
    high: float
    mean_range: float
    most_range: float


def control_limits(values: Sequence[float]) -> ControlLimits:
    """Return the limits of single values and of moving ranges of two, in the unit of the values, in time's order.

    mean ± 2.660 · mean range, and 3.267 · mean range for a range: the constants of textbooks of quality control
    (memory), here from the normal distribution itself. Raises OutOfRange for less than three values.
    """
    if len(values) < 3:
        raise OutOfRange("values", len(values), "Limits need three values or more; wait for the next brews.")
    mean, mean_range = statistics.fmean(values), statistics.fmean(abs(b - a) for a, b in pairwise(values))
    room = SIGMAS * mean_range / _MEAN_OF_RANGE
    most_range = mean_range * (1 + SIGMAS * _DEVIATION_OF_RANGE / _MEAN_OF_RANGE)
    return ControlLimits(mean, mean - room, mean + room, mean_range, most_range)
