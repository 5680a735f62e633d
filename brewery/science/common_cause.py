"""Common cause: how likely it is that bad lots meet in one suspect by chance alone."""

from dataclasses import dataclass
from fractions import Fraction
from math import comb

from brewery.science.ranges import OutOfRange


@dataclass(frozen=True, slots=True)
class Coverage:
    """How many of the bad and of the good ones a suspect is in, of how many there are."""

    bad: int
    of_bad: int
    good: int
    of_good: int

    def __post_init__(self) -> None:
        """Raises OutOfRange for more than there are, or for no bad ones at all."""
        if self.of_bad < 1:
            raise OutOfRange("of_bad", self.of_bad, "Name one bad lot or more.")
        for name, part, whole in (("bad", self.bad, self.of_bad), ("good", self.good, self.of_good)):
            if not 0 <= part <= whole:
                raise OutOfRange(name, part, f"Of {whole}, it can be in 0 to {whole}.")

    @property
    def explains_all(self) -> bool:
        """Whether it is in every bad one and in no good one."""
        return self.bad == self.of_bad and self.good == 0


def chance(coverage: Coverage) -> Fraction:
    """Return the probability that as many bad ones as these, or more, are among those covered, by chance alone.

    Fisher's exact test, one-sided (R. A. Fisher, The Design of Experiments, 1935; memory): of all ways to choose the
    covered ones, those in which at least as many are bad. Without good ones to compare with it is 1 and tells nothing.
    """
    covered, everything = coverage.bad + coverage.good, coverage.of_bad + coverage.of_good
    most = min(covered, coverage.of_bad)
    ways = sum(
        comb(coverage.of_bad, bad) * comb(coverage.of_good, covered - bad) for bad in range(coverage.bad, most + 1)
    )
    return Fraction(ways, comb(everything, covered))
