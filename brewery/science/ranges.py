"""Ranges: what a figure must be for a formula to hold, and the refusal of what lies outside."""

import math
from dataclasses import dataclass


class OutOfRange(ValueError):
    """A figure that a formula was not made for.

    `field` names the argument, `value` is what was given, `problem` says what it must be and what to do.
    """

    def __init__(self, field: str, value: object, problem: str) -> None:
        super().__init__(f"{field}: {value} is not valid. {problem}")
        self.field = field
        self.value = value
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Range:
    """The figures from `least` to `most`, both inclusive unless `above_least`; `advice` is for whoever is outside."""

    least: float
    most: float
    unit: str = ""
    advice: str = ""
    above_least: bool = False

    def check(self, field: str, value: float) -> None:
        """Refuse what lies outside, is infinite or is no number. Raises OutOfRange."""
        if value not in self:
            raise OutOfRange(field, value, f"It must be {self}. {self.advice}".strip())

    def __contains__(self, value: float) -> bool:
        is_low_enough = math.isfinite(value) and value <= self.most
        return is_low_enough and (value > self.least if self.above_least else value >= self.least)

    def __str__(self) -> str:
        start = f"more than {self.least:g}" if self.above_least else f"{self.least:g}"
        if self.most == math.inf:
            text = start if self.above_least else f"{start} or more"
        else:
            text = f"{start} {'and at most' if self.above_least else 'to'} {self.most:g}"
        return f"{text} {self.unit}".rstrip()


PER_CENT = Range(0, 100, "%", "Look up whether a share was written instead of a percentage.")
PART = Range(0, 1, "", "Write a share of one: 0.25 for 25 %.")
SOME_PART = Range(0, 1, "", "Write a share of one: 0.25 for 25 %.", above_least=True)
VOLUME_HL = Range(0, math.inf, "hL", "Measure the volume again.", above_least=True)
ANY_MASS_KG = Range(0, math.inf, "kg", "Weigh again.")
MASS_KG = Range(0, math.inf, "kg", "Weigh again.", above_least=True)
DAYS = Range(0, math.inf, "d", "Look up which of the two dates is wrong.")
MINUTES = Range(0, math.inf, "min", "Look up which of the two times is wrong.")
ABSORBANCE = Range(0, 4, "", "Read it again at a dilution that the photometer can measure.")
