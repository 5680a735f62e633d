"""Periods of a return."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.duty.periods import period_of
from brewery.science.duty.schemes import PeriodKind


@pytest.mark.parametrize(
    ("kind", "day", "starts_in", "period"),
    [
        (PeriodKind.MONTH, date(2024, 2, 29), 1, (date(2024, 2, 1), date(2024, 2, 29))),
        (PeriodKind.QUARTER, date(2025, 12, 31), 1, (date(2025, 10, 1), date(2025, 12, 31))),
        (PeriodKind.YEAR, date(2026, 1, 31), 2, (date(2025, 2, 1), date(2026, 1, 31))),
        (PeriodKind.YEAR, date(2026, 2, 1), 2, (date(2026, 2, 1), date(2027, 1, 31))),
    ],
)
def test_a_period_is_found_by_any_of_its_days(kind, day, starts_in, period):
    assert period_of(kind, day, year_starts_in=starts_in) == period


@given(st.sampled_from(PeriodKind), st.dates(date(1900, 1, 1), date(2100, 1, 1)), st.integers(1, 12))
def test_periods_follow_each_other_without_a_gap(kind, day, starts_in):
    start, end = period_of(kind, day, year_starts_in=starts_in)
    assert start <= day <= end
    assert period_of(kind, end + timedelta(days=1), year_starts_in=starts_in)[0] == end + timedelta(days=1)
    assert period_of(kind, start, year_starts_in=starts_in) == (start, end)
