"""Two loggers of one place that are read out at once. On PostgreSQL, where they are taken side by side."""

import pytest

from inventory.models import ClimateReading
from inventory.queries.warmths import warmth_of
from inventory.services.climates import Logged, take_climate_readings
from tests.brewhouse import Brewhouse, at
from tests.concurrency.test_bookings import side_by_side

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

LOGGERS, ROUNDS = 2, 40


def test_what_is_read_out_at_once_is_heard_in_full(brewhouse: Brewhouse):
    """Each logger reads at hours of its own and always the same: alone it would be one step."""
    place = brewhouse.place("COLD")
    told = [
        [Logged(place, f"T-{logger}", at(LOGGERS * turn + logger), 1000 * logger + 1000) for turn in range(ROUNDS)]
        for logger in range(LOGGERS)
    ]
    by = [brewhouse.by("quality") for _ in range(LOGGERS)]
    met = side_by_side(LOGGERS, lambda logger: take_climate_readings(readings=told[logger], **by[logger]))
    assert met == ["done"] * LOGGERS
    rows = ClimateReading.objects.filter(location=place)
    assert [warmth_of(place, row.read_at) for row in rows] == [row.milli_c for row in rows]
