"""The demonstration's closed periods: what its accountant answered and closed, and what came to light afterwards."""

from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from uuid import NAMESPACE_URL, UUID, uuid5

from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.science.units import MICRO
from inventory.models import Balance, Event, Location, Material
from inventory.queries.usage import Period, month_of
from inventory.services.disposals import take_sample
from traceability.services.duty_periods import close_period
from traceability.services.duty_rates import tell_facts

SCHEME = "de"
_ANSWERS: dict[str, Decimal | bool] = {"made_hl": Decimal(10_000), "independent": True}


def close_months(accountant: User, sampler: User) -> list[str]:
    """Every month of the record but the last is closed, as far as that goes; may be repeated. Returns what it did."""
    told: list[str] = []
    closed: Period | None = None
    for number, month in enumerate(_months()):
        if not number:
            since = month.first.replace(month=1, day=1)
            tell_facts(scheme=SCHEME, since=since, facts=_ANSWERS, actor=accountant, request_id=_id("answers"))
        days = {"first": month.first, "last": month.last}
        try:
            closing = close_period(scheme=SCHEME, **days, actor=accountant, request_id=_id(str(month)))
        except DomainError as refusal:
            told.append(str(refusal))
            break
        told.append(f"Duty: {month} is closed, digest {closing.digest}.")
        closed = month
    return [*told, *_sampled_late(closed, sampler)] if closed else told


def _sampled_late(month: Period, sampler: User) -> Iterator[str]:
    """A sample of the last closed month is written down after it was closed, of the first lot that allows it."""
    happened_at = datetime.combine(month.last, time(12), brewery_zone())
    laboratory = Location.objects.filter(kind=Location.Kind.LABORATORY).order_by("code").first()
    if laboratory is None:
        return
    kept = Balance.objects.held().filter(
        lot__material__kind=Material.Kind.PACKAGED, location__kind__in=Location.ON_HAND, lot__made_at__lt=happened_at
    )
    smallest_first = ("lot__material__contents_micro", "lot__code", "location__code")
    for one in kept.select_related("lot", "location").order_by(*smallest_first):
        try:
            take_sample(
                lot=one.lot,
                location=one.location,
                laboratory=laboratory,
                quantity_micro=MICRO,
                happened_at=happened_at,
                reason="Found in the laboratory's own book",
                actor=sampler,
                request_id=_id("late sample"),
            )
        except DomainError:
            continue
        yield f"Duty: one of {one.lot.code} taken as a sample in {month} was written down after it was closed."
        return


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
