"""Date marks by how long a beer keeps."""

from datetime import date

import pytest

from brewery.science.date_marks import DateMark, date_mark, printed_date
from brewery.science.ranges import OutOfRange

MADE = date(2026, 11, 30)


@pytest.mark.parametrize(
    ("best_before", "mark"),
    [
        (MADE, DateMark.DAY_AND_MONTH),
        (date(2027, 2, 28), DateMark.DAY_AND_MONTH),
        (date(2027, 3, 1), DateMark.MONTH_AND_YEAR),
        (date(2028, 5, 30), DateMark.MONTH_AND_YEAR),
        (date(2028, 5, 31), DateMark.YEAR),
    ],
)
def test_the_longer_it_keeps_the_less_of_the_date_is_wanted(best_before, mark):
    # Regulation (EU) 1169/2011, annex X, as told by ifsqn.com 27001: 3 months, 18 months.
    assert date_mark(5.1, MADE, best_before) is mark


def test_from_ten_per_cent_alcohol_no_date_is_wanted():
    # Regulation (EU) 1169/2011, annex X, as told by usda-eu.org.
    assert date_mark(10, MADE, MADE) is DateMark.NONE
    assert date_mark(9.9, MADE, MADE) is DateMark.DAY_AND_MONTH


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (
            lambda: date_mark(5, MADE, date(2026, 11, 29)),
            "best_before: 2026-11-29 is not valid. It was made on 2026-11-30",
        ),
        (lambda: date_mark(-1, MADE, MADE), "alcohol_by_volume_pct: -1 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()


@pytest.mark.parametrize(
    ("best_before", "printed"),
    [
        (date(2027, 1, 31), ("Best before", "2027-01-31")),
        (date(2027, 6, 30), ("Best before end", "06/2027")),
        (date(2027, 6, 29), ("Best before", "2027-06-29")),
        (date(2028, 12, 31), ("Best before end", "2028")),
        (date(2028, 11, 30), ("Best before end", "11/2028")),
        (date(2026, 11, 1), ("Best before", "2026-11-01")),
    ],
)
def test_the_end_of_a_month_or_year_is_printed_only_where_it_is_the_very_day(best_before, printed):
    # Regulation (EU) 1169/2011, annex X, point 1: "best before end" where no day is named; to 3 months day and month,
    # to 18 months month and year, beyond that the year suffice.
    assert printed_date(MADE, best_before) == printed
