"""Limits of tank readings: what is outside is told at once, by the sheet where it says something."""

import pytest

from brewery.kernel.clock import brewery_day
from brewery.production.queries.tank_limits import shown_readings
from brewery.production.queries.tank_readings import tank_readings
from inventory.models import Lot
from inventory.queries.judgements import judgements_of
from inventory.services.specifications import set_specification
from tests.brewhouse import Brewhouse, at, micro
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


def test_what_the_brewery_asks_of_a_beer_counts_from_its_day_on_once_the_beer_is_no_longer_green(brewhouse: Brewhouse):
    fermenting(brewhouse)
    brewhouse.transfer("FV1", "BT1", "900 L", hours=40)
    beer = Lot.objects.get(code="T1").material
    set_specification(
        material=beer,
        property="oxygen",
        most_micro=micro("0.03 each"),
        in_force_from=brewery_day(at(72)),
        source="own",
        **brewhouse.by("quality"),
    )
    assert outside(brewhouse, "oxygen", "0.05", 41, "BT1") == ""
    assert outside(brewhouse, "oxygen", "0.05", 73, "BT1") == (
        f"Dissolved oxygen 0.05 mg/L is not at most 0.03 mg/L, as is asked of {beer.name}."
    )
    assert outside(brewhouse, "oxygen", "0.03", 74, "BT1") == ""
    assert outside(brewhouse, "oxygen", "9", 73, "FV1") == ""
    assert (
        not judgements_of([Lot.objects.select_related("material").get(code="T1")], brewery_day(at(100)))
        .popitem()[1]
        .faults
    )
