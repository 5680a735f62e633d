"""What a cell may say, and what it then stands for."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from brewery.kernel.tables import cells
from brewery.kernel.tables.cells import BadCell
from inventory.services.cells import GENERATION, LOT


@pytest.mark.parametrize(
    ("form", "cell", "value"),
    [
        (cells.MOMENT, "2026-01-15 08:00", datetime(2026, 1, 15, 7, 0, tzinfo=UTC)),
        (cells.MOMENT, "2026-07-15 08:00", datetime(2026, 7, 15, 6, 0, tzinfo=UTC)),
        (cells.MOMENT, "2026-07-15 08:00-05:00", datetime(2026, 7, 15, 13, 0, tzinfo=UTC)),
        (cells.MOMENT, "2026-07-15 08:00 Z", datetime(2026, 7, 15, 8, 0, tzinfo=UTC)),
        (cells.MOMENT, "2026-10-25 02:30+01:00", datetime(2026, 10, 25, 1, 30, tzinfo=UTC)),
        (cells.DAY, "2027-02-28", date(2027, 2, 28)),
        (cells.QUANTITY, "1250.50", Decimal("1250.50")),
        (cells.QUANTITY, "0", Decimal(0)),
        (cells.WHOLE, "480", 480),
        (GENERATION, "1", 1),
        (LOT, "PM/26-0417*b", "PM/26-0417*b"),
        (cells.UNIT, "US bbl", "US bbl"),
    ],
)
def test_a_cell_stands_for(form, cell, value):
    assert form.read(cell) == value


@pytest.mark.parametrize(
    ("form", "cell", "why"),
    [
        (cells.MOMENT, "15.01.2026 08:00", "no time"),
        (cells.MOMENT, "2026-02-30 08:00", "no date"),
        (cells.MOMENT, "2026-01-15 24:10", "no time"),
        (cells.MOMENT, "2026-01-15 08:00+25:00", "no time"),
        (cells.MOMENT, "0001-01-01 00:00+14:00", "too far off"),
        (cells.MOMENT, "2026-03-29 02:30", "put forward"),  # tzdata, Europe/Berlin: the last Sunday of March
        (cells.MOMENT, "2026-10-25 02:30", "came twice"),  # tzdata, Europe/Berlin: the last Sunday of October
        (cells.DAY, "2026-13-01", "no date"),
        (cells.DAY, "9999-01-01", "too far off"),
        (cells.DAY, "२०२६-01-01", "no date"),
        (cells.QUANTITY, "1,250.5", "no quantity"),
        (cells.QUANTITY, "-5", "no quantity"),
        (cells.QUANTITY, "1e3", "no quantity"),
        (cells.QUANTITY, "NaN", "no quantity"),
        (cells.WHOLE, "48.5", "no whole number"),
        (GENERATION, "0", "no generation"),
        (LOT, "PM 26", "no lot code"),
        (LOT, "P" * 21, "no lot code"),
        (LOT, "Größe", "no lot code"),
        (cells.UNIT, "bushel", "not known"),
        (cells.CODE, "x" * 41, "up to 40"),
    ],
)
def test_a_cell_is_refused(form, cell, why):
    with pytest.raises(BadCell, match=why):
        form.read(cell)


def test_times_are_in_the_brewery_s_own_time_zone(settings):
    settings.BREWERY_TIME_ZONE = "America/Chicago"
    assert cells.MOMENT.read("2026-01-15 08:00") == datetime(2026, 1, 15, 14, 0, tzinfo=UTC)
