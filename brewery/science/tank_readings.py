"""Readings of tanks: what each can be at all, and what is usual where a brewery has set no limits of its own.

The ranges are as wide as a cellar can be, so that only a slip of the pen falls outside.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from brewery.science.bands import Band
from brewery.science.brew_readings import TEMPERATURE_ROOM_C
from brewery.science.properties import named, number

_PRACTICE = "common practice, no source"

READINGS = named(
    number("gravity", "Gravity", "°P", -3, 40, _PRACTICE),
    number("temperature", "Temperature", "°C", -5, 60, _PRACTICE),
    number("ph", "pH", "", 2, 9, _PRACTICE),
    number("co2", "Carbon dioxide", "g/L", 0, 20, _PRACTICE),
    number("oxygen", "Dissolved oxygen", "mg/L", 0, 50, _PRACTICE),
    number("diacetyl", "Diacetyl", "mg/L", 0, 10, _PRACTICE),
    number("pressure", "Pressure", "bar", -1, 10, _PRACTICE),
)

USUAL: Mapping[str, Band] = MappingProxyType(
    {
        "ph": Band("pH of the beer", 3.0, 5.6, "", "beer 3.9 to 4.7, sour beer less, wort to 5.6: " + _PRACTICE),
        "co2": Band("Carbon dioxide", 0, 7, "g/L", _PRACTICE),
    }
)
"""What is usual in a tank at any time."""

USUAL_WHEN_ENDED: Mapping[str, Band] = MappingProxyType(
    {
        "diacetyl": Band("Diacetyl", 0, 0.1, "mg/L", "the threshold of taste in lager, from memory"),
        "oxygen": Band("Dissolved oxygen", 0, 0.1, "mg/L", _PRACTICE),
    }
)
"""What is usual once fermentation has ended; before, green beer holds diacetyl, and fresh wort oxygen."""

HOURS_TO_CHANGE_TEMPERATURE = 24.0
"""How long a tank may take from one step of the cellar to the next (common practice, no source)."""

_HOURS = 24


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stretch of days in the cellar at one temperature; in some, beer is still green."""

    words: str
    temperature_c: float
    days: float
    is_green: bool = False


@dataclass(frozen=True, slots=True)
class Aim:
    """Between which temperatures in °C a tank is to be, and at which step."""

    words: str
    least_c: float
    most_c: float

    def is_missed_by(self, temperature_c: float) -> bool:
        """Return whether a temperature lies outside."""
        return not self.least_c - 1e-9 <= temperature_c <= self.most_c + 1e-9


def aim_after(stretches: Sequence[Stretch], age_hours: float) -> Aim | None:
    """Return how warm a tank is to be so long after pitching, give or take a degree; None where nothing is planned.

    While a tank changes from one step to the next it may be anywhere between the two; the last step goes on.
    """
    if not stretches or age_hours < 0:
        return None
    begins, before = 0.0, stretches[0]
    for stretch in stretches:
        ends = begins + stretch.days * _HOURS
        if age_hours < ends or stretch is stretches[-1]:
            changes = age_hours < begins + HOURS_TO_CHANGE_TEMPERATURE
            between = (before.temperature_c, stretch.temperature_c) if changes else (stretch.temperature_c,)
            return Aim(stretch.words, min(between) - TEMPERATURE_ROOM_C, max(between) + TEMPERATURE_ROOM_C)
        begins, before = ends, stretch
    return None
