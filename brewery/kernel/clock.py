"""What time it is, and how the brewery's wall clock tells it. Times are kept in UTC and shown in the brewery's zone."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone


def now() -> datetime:
    """Return the present moment as an aware UTC datetime."""
    return timezone.now()


def brewery_zone() -> ZoneInfo:
    """Return the brewery's time zone."""
    return ZoneInfo(settings.BREWERY_TIME_ZONE)


def brewery_day(moment: datetime | None = None) -> date:
    """Return the calendar day of a moment, or of the present one, as the brewery's clock tells it."""
    return (moment or now()).astimezone(brewery_zone()).date()


def on_the_wall(moment: datetime) -> str:
    """Return a moment for people, as the brewery's clock showed it."""
    return moment.astimezone(brewery_zone()).strftime("%Y-%m-%d %H:%M")


def aware(moment: datetime) -> datetime:
    """Return the moment with a time zone: its own, or the brewery's where it has none."""
    return moment if moment.tzinfo else moment.replace(tzinfo=brewery_zone())
