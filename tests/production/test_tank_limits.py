"""Limits of tank readings: what is outside is told at once, by the sheet where it says something."""

import pytest

from brewery.production.queries.tank_limits import shown_readings
from brewery.production.queries.tank_readings import tank_readings
from tests.brewhouse import Brewhouse
from tests.production.cellar import fermenting, measured, read


def outside(house: Brewhouse, property: str, value: str, hours: float, vessel: str = "FV1") -> str:
    made = read(house, measured(house, property, value, hours, vessel))
    (shown,) = shown_readings([tank_readings().get(pk=made.pk)])
    return shown.outside


@pytest.mark.parametrize(
    ("property", "value", "hours", "says"),
    [
        ("temperature", "9.9", 20, ""),
        ("temperature", "10.1", 20, "10.1 °C; the sheet says 8 to 10 °C for fermentation."),
        ("temperature", "20", 9.5, ""),
        ("gravity", "12", 20, ""),
        ("diacetyl", "0.4", 20, ""),
        ("oxygen", "9", 11, ""),
        ("ph", "6", 20, "pH of the beer of 6 is unusual: 3 to 5.6"),
        ("diacetyl", "0.4", 10 + 7 * 24, "Diacetyl of 0.4 mg/L is unusual: 0 to 0.1 mg/L"),
    ],
)
def test_a_reading_outside_of_its_limits_says_so(brewhouse: Brewhouse, property, value, hours, says):
    fermenting(brewhouse)
    told = outside(brewhouse, property, value, hours)
    assert told.startswith(says) if says else told == ""


def test_beer_in_a_bright_tank_is_never_green(brewhouse: Brewhouse):
    fermenting(brewhouse)
    brewhouse.transfer("FV1", "BT1", "1000 L", hours=40)
    assert outside(brewhouse, "oxygen", "0.5", 41, "BT1").startswith("Dissolved oxygen of 0.5 mg/L is unusual")
