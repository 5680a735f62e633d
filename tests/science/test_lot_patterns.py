"""Lot codes and best-before days by a pattern and a span, against days counted by hand."""

from datetime import date, datetime

import pytest

from brewery.science.filling import left_by_gauges, share_of_drawn, shared_out
from brewery.science.lot_patterns import TOKENS, Filled, Span, check_pattern, keeps_until, written_code
from brewery.science.ranges import OutOfRange

FILLED = Filled(datetime(2026, 3, 6, 15, 20), line="2", tank="BT 1")


@pytest.mark.parametrize(
    ("pattern", "code"),
    [
        ("{year}{day}-{hour}{number}", "26065-157"),
        ("{full_year}{month}{day_of_month}", "20260306-7"),
        ("{year}W{week}.{weekday}/{number3}", "26W10.5/007"),
        ("{tank}{line}{number2}", "BT1207"),
    ],
)
def test_each_token_is_written(pattern: str, code: str):
    check_pattern(pattern)
    assert written_code(pattern, FILLED, 7) == code


def test_the_year_beside_a_week_is_that_of_the_week():
    assert written_code("{year}{week}", Filled(datetime(2024, 12, 30)), 1) == "2501"
    assert written_code("{year}{day}", Filled(datetime(2024, 12, 30)), 1) == "24365"


@pytest.mark.parametrize("pattern", ["", "{moon}", "A B", "{year", "Ä", "{number0}", "A" * 21])
def test_a_pattern_that_gives_no_code_is_refused(pattern: str):
    with pytest.raises(OutOfRange):
        check_pattern(pattern)


def test_every_token_is_known():
    for token in TOKENS:
        check_pattern(f"{{{token}}}X")


@pytest.mark.parametrize(
    ("count", "span", "to_months_end", "day"),
    [
        (180, Span.DAYS, False, date(2026, 7, 30)),
        (1, Span.MONTHS, False, date(2026, 2, 28)),
        (6, Span.MONTHS, True, date(2026, 7, 31)),
        (25, Span.MONTHS, True, date(2028, 2, 29)),
    ],
)
def test_the_best_before_day_is_counted_from_filling(count: int, span: Span, to_months_end: bool, day: date):
    assert keeps_until(date(2026, 1, 31), count, span, to_months_end=to_months_end) == day


def test_what_left_by_gauges_is_their_difference():
    assert left_by_gauges(10, 4) == 6
    for start, end in ((4, 4), (4, 5), (4, -1)):
        with pytest.raises(OutOfRange):
            left_by_gauges(start, end)


def test_no_share_is_more_than_its_weight():
    assert shared_out(9, [1, 1, 8]) == [0, 1, 8]


def test_a_share_of_counted_things_is_whole_and_the_last_takes_the_rest():
    assert share_of_drawn(10_000_000, 1, 2, is_counted=True) == 3_000_000
    assert share_of_drawn(10_000_000, 1, 2, is_counted=False) == 3_333_333
    assert share_of_drawn(7_000_001, 1, 0, is_counted=True) == 7_000_001
