"""The days of the season, and which of them are worked."""

from datetime import date, datetime, time, timedelta

START = date(2026, 3, 2)
END = date(2026, 8, 28)
# Good Friday, Easter Monday, the first of May, Ascension and Whit Monday: the brewhouse stands still.
HOLIDAYS = {date(2026, 4, 3), date(2026, 4, 6), date(2026, 5, 1), date(2026, 5, 14), date(2026, 5, 25)}
ALL_DAYS = [START + timedelta(days=count) for count in range((END - START).days + 1)]
WORKDAYS = [day for day in ALL_DAYS if day.weekday() < 5 and day not in HOLIDAYS]


def workday_after(day: date, count: int = 1) -> date:
    """The `count`-th workday after the day, which may lie beyond the season."""
    while count:
        day += timedelta(days=1)
        count -= day.weekday() < 5 and day not in HOLIDAYS
    return day


def cellar_day(day: date) -> date:
    """The day itself, or Monday for a Sunday: the cellar is manned on Saturdays."""
    return day + timedelta(days=1) if day.weekday() == 6 else day


def moment(day: date, clock: str) -> datetime:
    """The day at a time of the clock such as `06:15`."""
    return datetime.combine(day, time.fromisoformat(clock))
