"""Estimates: a figure with the interval in which it is expected, and what measurements say of the next one."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from brewery.science.ranges import OutOfRange

# Student's t that leaves 2.5 % above it, for 1 to 30 degrees of freedom: tables of statistics, from memory.
# fmt: off
_T_975 = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
          2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086,
          2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042)
# fmt: on


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure, and the interval from `low` to `high` in which it is expected to lie 19 times out of 20.

    Where a source tells no more than a range, the interval is that range, and a function says so.
    """

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise OutOfRange("value", self.value, f"It must lie in its own interval, {self.low:g} to {self.high:g}.")

    @classmethod
    def exact(cls, value: float) -> "Estimate":
        """Return a figure that is taken as it stands."""
        return cls(value, value, value)

    @classmethod
    def give_or_take(cls, value: float, by: float) -> "Estimate":
        """Return a figure with the same room on both sides. Raises OutOfRange for less than none."""
        return cls(value, value - by, value + by)

    def times(self, factor: float) -> "Estimate":
        """Return the figure and its interval multiplied by a positive factor."""
        return Estimate(self.value * factor, self.low * factor, self.high * factor)


def next_of(values: Sequence[float]) -> Estimate:
    """Return the mean, and the interval in which the next value of the same kind is expected 19 times out of 20.

    mean ± t · s · sqrt(1 + 1/n), for values that scatter normally about one mean (textbooks of statistics, from
    memory); above 31 values the t of 30 degrees of freedom, which is a little wide. Raises OutOfRange for less than 3.
    """
    if len(values) < 3:
        raise OutOfRange("values", len(values), "Three measurements or more tell of a scatter; take an assumed one.")
    t = _T_975[min(len(values) - 1, len(_T_975)) - 1]
    return Estimate.give_or_take(statistics.fmean(values), t * statistics.stdev(values) * sqrt(1 + 1 / len(values)))
