"""Rates: one row for each day, and words for a day with none, with two, or with a figure that was never found."""

from datetime import date
from decimal import Decimal

import pytest

from brewery.science.duty.rates import Rate, RateBook, unchecked
from brewery.science.ranges import OutOfRange

NEW_YEAR = date(2025, 1, 1)


def row(start: date, end: date | None, value: str | None = "1.00", key: str = "general") -> Rate:
    return Rate("made_up", key, Decimal(value) if value else None, "EUR/hL", start, end, "a made-up gazette")


def test_the_row_in_force_is_found_on_its_first_and_on_its_last_day():
    book = RateBook((row(date(2024, 1, 1), date(2024, 12, 31), "1.00"), row(NEW_YEAR, None, "2.00")))
    assert book.faults() == []
    assert [book.on("general", day) for day in (date(2024, 12, 31), NEW_YEAR)] == [Decimal("1.00"), Decimal("2.00")]


@pytest.mark.parametrize(
    ("rows", "words", "fault"),
    [
        ((), "No rate is in force; rates are known no day at all", None),
        (
            (row(date(2023, 1, 1), date(2024, 12, 30)), row(date(2025, 1, 2), None)),
            "No rate is in force; rates are known from 2023-01-01 until 2024-12-30, from 2025-01-02",
            "general: no rate is in force between 2024-12-30 and 2025-01-02.",
        ),
        (
            (row(date(2024, 1, 1), None), row(NEW_YEAR, None)),
            "The rates from 2024-01-01 and 2025-01-01 overlap: end the earlier one.",
            "general: the rates from 2024-01-01 and from 2025-01-01 overlap; end the earlier one.",
        ),
        ((row(NEW_YEAR, None, None),), "No source gave this figure .a made-up gazette.. Look it up", None),
    ],
)
def test_a_gap_an_overlap_and_a_figure_not_found_are_refused_in_words(rows, words, fault):
    book = RateBook(rows)
    with pytest.raises(OutOfRange, match=words):
        book.on("general", NEW_YEAR)
    assert book.faults() == ([fault] if fault else [])


def test_a_row_that_ends_before_it_begins_is_a_fault():
    assert RateBook((row(NEW_YEAR, date(2024, 1, 1)),)).faults() == [
        "general: the rate from 2025-01-01 until 2024-01-01 ends before it begins."
    ]


def test_rows_that_nobody_compared_with_the_law_are_told():
    checked = Rate("made_up", "k", Decimal(1), "EUR/hL", NEW_YEAR, None, "a made-up gazette", date(2025, 2, 1))
    assert unchecked([row(NEW_YEAR, None), checked]) == [row(NEW_YEAR, None)]
    assert RateBook((checked, row(date(2026, 1, 1), None))).rows_in(NEW_YEAR, date(2025, 1, 31)) == (checked,)
