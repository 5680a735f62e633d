"""The moments between which a period lies, by the brewery's clock."""

from datetime import UTC, date, datetime, time, timedelta

from brewery.kernel.clock import brewery_zone
from inventory.queries.usage import Period

BEGINNING, ALWAYS = datetime(1, 1, 2, tzinfo=UTC), datetime(9999, 1, 1, tzinfo=UTC)


def edges(period: Period) -> tuple[datetime, datetime]:
    """Return the first moment of the period and the first after it."""
    return begins(period.first), begins(period.last + timedelta(days=1))


def begins(day: date) -> datetime:
    """Return the first moment of the day."""
    return datetime.combine(day, time.min, brewery_zone())
