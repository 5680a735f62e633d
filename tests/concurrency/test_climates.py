"""Many loggers of one place that are read out at once, and one that is corrected meanwhile. On PostgreSQL."""

import pytest

from inventory.models import ClimateReading
from inventory.queries.climates import counting
from inventory.queries.warmths import warmth_of
from inventory.services.climate_corrections import correct_climate
from inventory.services.climates import Logged, take_climate_readings
from tests.brewhouse import Brewhouse, at
from tests.concurrency.test_bookings import side_by_side

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

MANY = 6
ROUNDS = 8


def read_out(house: Brewhouse, number: int) -> None:
    """Each logger reads at hours of its own, and each a degree more than the one before it."""
    told = [
        Logged(house.place("COLD"), f"T-{number}", at(MANY * turn + number), 1000 * (1 + number))
        for turn in range(ROUNDS)
    ]
    take_climate_readings(readings=told, **house.by("quality"))


def test_what_is_read_out_at_once_is_heard_in_full(brewhouse: Brewhouse):
    read_out(brewhouse, 0)
    place = brewhouse.place("COLD")

    def one(number: int) -> None:
        if number:
            read_out(brewhouse, number)
        else:
            told = {
                "logger": "T-0",
                "first_at": at(0),
                "last_at": at(MANY * 3),
                "counts": False,
                "reason": "on a bench",
            }
            correct_climate(location=place, **told, **brewhouse.by("quality"))

    assert side_by_side(MANY, one) == ["done"] * MANY
    rows = list(counting(ClimateReading.objects.filter(location=place)))
    assert len(rows) == MANY * ROUNDS - 4
    assert [warmth_of(place, row.read_at) for row in rows] == [row.milli_c for row in rows]
