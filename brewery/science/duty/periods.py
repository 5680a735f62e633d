"""Periods: the first and the last day of a return, and when it must be in."""

from datetime import date, timedelta

from brewery.science.duty.schemes import PeriodKind

_MONTHS = {PeriodKind.MONTH: 1, PeriodKind.QUARTER: 3, PeriodKind.YEAR: 12}


def period_of(kind: PeriodKind, day: date, *, year_starts_in: int = 1) -> tuple[date, date]:
    """Return the first and the last day of the period that holds a day, of a year that starts in a month."""
    length = _MONTHS[kind]
    into = (day.month - year_starts_in) % 12 % length
    start = _first_of(day.year, day.month - into)
    return start, _first_of(start.year, start.month + length) - timedelta(days=1)


def day_of_month_after(end: date, day: int) -> date:
    """Return a day of the month that follows the end of a period."""
    return _first_of(end.year, end.month + 1).replace(day=day)


def _first_of(year: int, month: int) -> date:
    """The first day of a month that may be counted beyond its year."""
    years, months = divmod(month - 1, 12)
    return date(year + years, months + 1, 1)
