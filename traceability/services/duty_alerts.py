"""What duty gives cause to tell: a period that is over and due, and entries that were recorded late."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from django.conf import settings
from django.db.models import Min
from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.schemes import DutyScheme, LateEntry, PeriodKind
from inventory.models import Alert
from inventory.queries.usage import Period
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of
from traceability.models import DutyClosing, DutyFacts
from traceability.queries.duty_periods import closing_before, late_postings, proposed_period


@alerts_of("duty_due", "Duty period due", after=(Bell.DUTY,))
def due_periods(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each scheme that the brewery uses, whose next period is soon due or overdue.

    Uses is: it closed periods under it, or answered what the scheme asks.
    """
    today = brewery_day(moment)
    open_ones = [(scheme, _next(scheme, closing)) for scheme, closing in _used()]
    for scheme, period in [*open_ones, *_begun(today)]:
        due = scheme.due_on(period.last)
        if due and period.last < today and today >= due - timedelta(settings.DUTY_DUE_DAYS):
            severity = Alert.Severity.URGENT if today > due else Alert.Severity.WARNING
            words = f"The return of duty for {period}, {scheme.name}, is due on {due}: the period is not closed yet."
            yield Cause(f"{scheme.key} {period.first}", words, Role.ACCOUNTING, severity, _address(scheme, period))


@alerts_of("duty_late_entry", "Recorded after its duty period was closed", after=(Bell.DUTY,))
def late_entries(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each scheme whose last closed period must be amended."""
    for scheme, closing in _used():
        count = late_postings(closing).count() if scheme.late_entry is LateEntry.AMENDMENT else 0
        if count:
            period = Period(closing.first, closing.last)
            entries = "entry was" if count == 1 else "entries were"
            words = f"{count} {entries} recorded after {period} was closed under {scheme.name}: amend it."
            address = _address(scheme, period)
            yield Cause(f"{scheme.key} {closing.pk}", words, Role.ACCOUNTING, Alert.Severity.WARNING, address)


def _used() -> Iterator[tuple[DutyScheme, DutyClosing]]:
    """Yield each scheme under which a period was closed, with the last."""
    for key in DutyClosing.objects.order_by("scheme").values_list("scheme", flat=True).distinct():
        closing = closing_before(key, datetime.max.date())
        if closing and key in SCHEMES:
            yield SCHEMES[key], closing


def _begun(today: date) -> Iterator[tuple[DutyScheme, Period]]:
    """Yield each scheme whose questions were answered and under which nothing was closed yet, with its last period."""
    never_closed = DutyFacts.objects.exclude(scheme__in=DutyClosing.objects.values("scheme"))
    for key, since in never_closed.order_by("scheme").values_list("scheme").annotate(Min("since")):
        if scheme := SCHEMES.get(key):
            period = proposed_period(key, scheme.period_kinds[0], today)
            if period.last >= since:
                yield scheme, period


def _next(scheme: DutyScheme, closing: DutyClosing) -> Period:
    """The period after the last that was closed, of the same kind as that."""
    days = (closing.last - closing.first).days
    kind = PeriodKind.MONTH if days < 31 else PeriodKind.QUARTER if days < 92 else PeriodKind.YEAR
    return proposed_period(scheme.key, kind, closing.last)


def _address(scheme: DutyScheme, period: Period) -> str:
    return reverse("duty-period", args=[scheme.key, period.first, period.last])
