"""The demonstration's closed periods: what its accountant answered and closed, month by month."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from uuid import NAMESPACE_URL, UUID, uuid5

from brewery.kernel.clock import brewery_day
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from inventory.models import Event
from inventory.queries.usage import Period, month_of
from traceability.services.duty_periods import close_period
from traceability.services.duty_rates import tell_facts

SCHEME = "de"
_ANSWERS: dict[str, Decimal | bool] = {"made_hl": Decimal(10_000), "independent": True}


def close_months(accountant: User) -> list[str]:
    """Every month of the record but the last is closed, as far as that goes; may be repeated. Returns what it did."""
    told: list[str] = []
    for number, month in enumerate(_months()):
        if not number:
            since = month.first.replace(month=1, day=1)
            tell_facts(scheme=SCHEME, since=since, facts=_ANSWERS, actor=accountant, request_id=_id("answers"))
        days = {"first": month.first, "last": month.last}
        try:
            closing = close_period(scheme=SCHEME, **days, actor=accountant, request_id=_id(str(month)))
        except DomainError as refusal:
            return [*told, str(refusal)]
        told.append(f"Duty: {month} is closed, digest {closing.digest}.")
    return told


def _months() -> Iterator[Period]:
    first, last = Event.objects.order_by("happened_at").first(), Event.objects.order_by("happened_at").last()
    if first is None or last is None:
        return
    month, end = month_of(brewery_day(first.happened_at)), month_of(brewery_day(last.happened_at)).first
    while month.first < end:
        yield month
        month = month_of(_day_after(month))


def _day_after(month: Period) -> date:
    return date.fromordinal(month.last.toordinal() + 1)


def _id(what: str) -> UUID:
    return uuid5(NAMESPACE_URL, f"demonstration, duty: {what}")
