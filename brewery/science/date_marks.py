"""Date marks: which parts of a date of minimum durability European law wants on a pack.

Regulation (EU) 1169/2011, annex X, as told by ifsqn.com 27001 and usda-eu.org. The local code has the last word.
"""

import calendar
import enum
from datetime import date

from brewery.science.ranges import PER_CENT, OutOfRange

NO_DATE_FROM_ALCOHOL_PCT = 10


class DateMark(enum.StrEnum):
    """What of the date has to stand there, at the least."""

    NONE = "no date"
    DAY_AND_MONTH = "day and month"
    MONTH_AND_YEAR = "month and year"
    YEAR = "year"


def date_mark(alcohol_by_volume_pct: float, made_on: date, best_before: date) -> DateMark:
    """Return the least of a date for a drink of a strength: none from 10 % vol.

    Below: day and month to 3 months, month and year to 18, then the year. Raises OutOfRange for a best before in the
    past of the making.
    """
    PER_CENT.check("alcohol_by_volume_pct", alcohol_by_volume_pct)
    if best_before < made_on:
        raise OutOfRange("best_before", best_before, f"It was made on {made_on}: look up both days.")
    if alcohol_by_volume_pct >= NO_DATE_FROM_ALCOHOL_PCT:
        return DateMark.NONE
    if best_before <= months_after(made_on, 3):
        return DateMark.DAY_AND_MONTH
    return DateMark.MONTH_AND_YEAR if best_before <= months_after(made_on, 18) else DateMark.YEAR


def printed_date(made_on: date, best_before: date) -> tuple[str, str]:
    """Return the words and the date to print: "Best before" a day, or "Best before end" of a month or a year.

    The short forms stand only where that end is the very day, so that nothing printed promises a longer life than the
    record: annex X, point 1, "Best before end" where no day is named.
    """
    mark = date_mark(0, made_on, best_before) if best_before >= made_on else DateMark.DAY_AND_MONTH
    if mark is DateMark.YEAR and (best_before.month, best_before.day) == (12, 31):
        return "Best before end", f"{best_before:%Y}"
    is_months_end = best_before.day == calendar.monthrange(best_before.year, best_before.month)[1]
    if mark in (DateMark.MONTH_AND_YEAR, DateMark.YEAR) and is_months_end:
        return "Best before end", f"{best_before:%m/%Y}"
    return "Best before", best_before.isoformat()


def months_after(day: date, months: int) -> date:
    """Return the same day so many months later, or the last of that month where it has no such day."""
    year, month = day.year + (day.month - 1 + months) // 12, (day.month - 1 + months) % 12 + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))
