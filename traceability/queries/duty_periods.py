"""Duty periods: which are closed, what was recorded late, and what must be settled before one is closed."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.conf import settings
from django.db.models import Q, QuerySet

from brewery.kernel.clock import brewery_day
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.periods import period_of
from brewery.science.duty.schemes import LateEntry, PeriodKind
from inventory.models import Balance, CountSheet, Location, Lot, Material, Posting
from inventory.queries.measured_strengths import MeasuredStrength, measured_alcohols, measured_extracts
from inventory.queries.usage import Period
from traceability.models import DutyClosing
from traceability.queries.duty_lines import LINES, REMOVALS, movement_of
from traceability.queries.duty_moments import ALWAYS, edges
from traceability.queries.duty_record import DutyRow, duty_record, moved_between

COUNTED_WITHIN = timedelta(days=7)
"""How far from the end of a period a count is still the count of its end: 27 CFR 25.294, within 7 days of month end."""
MOST_NAMED = 12
EXTRACT = ("original_extract", "extract_method", "extract_on")
"""What the strengths of a closed period say of the original extract; closings before it was kept lack it."""
_BEER = (Material.Kind.BEER, Material.Kind.PACKAGED)


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is not settled, in words; one that `must` be keeps the period open."""

    words: str
    must: bool = True


def standing_closing(scheme: str, period: Period) -> DutyClosing | None:
    """Return the closing of the period that counts: the last amendment, otherwise the first closing; None if open."""
    return _last(DutyClosing.objects.filter(scheme=scheme, first=period.first, last=period.last))


def closing_before(scheme: str, first: date) -> DutyClosing | None:
    """Return the closing that counts of the last period under the scheme that is closed before the day."""
    return _last(DutyClosing.objects.filter(scheme=scheme, last__lt=first))


def record_under(scheme: str, period: Period, known_by: datetime = ALWAYS) -> list[DutyRow]:
    """Return the record of the period as the scheme takes late entries: apart, where they go into the next period."""
    before = closing_before(scheme, period.first)
    is_apart = before is not None and SCHEMES[scheme].late_entry is LateEntry.NEXT_PERIOD
    opened_by = before.closed_at if before and is_apart else ALWAYS
    return duty_record(period, opened_by=opened_by, known_by=known_by)


def late_postings(closing: DutyClosing) -> QuerySet[Posting]:
    """Return the postings of beer that happened in the closed period and were recorded after it was closed."""
    start, end = edges(Period(closing.first, closing.last))
    return (
        Posting.objects.filter(
            lot__material__kind__in=_BEER,
            event__happened_at__gte=start,
            event__happened_at__lt=end,
            event__recorded_at__gt=closing.closed_at,
        )
        .select_related("event__actor", "lot__material", "from_location", "to_location")
        .order_by("event__recorded_at", "pk")
    )


def missing_for(scheme: str, period: Period) -> list[Missing]:
    """Return what is not settled, what must be first."""
    found = [*_out_of_turn(scheme, period), *_not_measured(scheme, period), *_not_counted(period)]
    return sorted(found, key=lambda one: not one.must)


def proposed_period(scheme: str, kind: PeriodKind, today: date) -> Period:
    """Return the next period to close: the one after the last that is closed, otherwise the last that is over."""
    last = closing_before(scheme, date.max)
    day = last.last + timedelta(days=1) if last else period_of(kind, today)[0] - timedelta(days=1)
    return Period(*period_of(kind, day))


def _last(closings: QuerySet[DutyClosing]) -> DutyClosing | None:
    return closings.select_related("actor", "seal").order_by("-last", "-pk").first()


def _out_of_turn(scheme: str, period: Period) -> Iterator[Missing]:
    if period.last >= brewery_day():
        yield Missing(f"The period runs until {period.last} and is not over yet.")
    before = _last(DutyClosing.objects.filter(scheme=scheme))
    if before and before.last + timedelta(days=1) != period.first:
        yield Missing(f"The last closed period ends on {before.last}: close the one that follows it, without a gap.")
    if before and SCHEMES[scheme].late_entry is LateEntry.AMENDMENT and late_postings(before).exists():
        yield Missing(f"Entries were recorded after {before.first} to {before.last} was closed: amend it first.")


def _not_measured(scheme: str, period: Period) -> Iterator[Missing]:
    """What left bond, is taxed or is credited must have its strength measured, about when it was filled."""
    law = SCHEMES[scheme]
    reckoned = {line for line in LINES if line in REMOVALS or movement_of(line) in law.taxed | law.credited}
    lots = {one.lot for one in moved_between(*edges(period)) if one.line in reckoned}
    for name in law.strengths:
        words, measure = _STRENGTHS[name]
        measured = measure(lots)
        bare = [lot.code for lot in lots if lot.pk not in measured]
        vague = [lot.code for lot in lots if lot.pk in measured and not measured[lot.pk].method]
        stale = [lot.code for lot in lots if lot.pk in measured and _is_stale(lot, measured[lot.pk])]
        if bare:
            yield Missing(
                f"No measured {words}, with method and day, of lots that duty is reckoned on: {_named(bare)}."
            )
        if vague:
            told = f"The {words} was measured without a method being named, of lots: {_named(vague)}."
            yield Missing(told, must=False)
        if stale:
            days = settings.DUTY_STRENGTH_DAYS
            told = f"The {words} was measured more than {days} days from the filling, of lots: {_named(stale)}."
            yield Missing(told, must=False)


_STRENGTHS: dict[str, tuple[str, Callable[[Iterable[Lot]], dict[int, MeasuredStrength]]]] = {
    "alcohol": ("alcohol", measured_alcohols),
    "extract": ("original extract", measured_extracts),
}


def _is_stale(lot: Lot, measured: MeasuredStrength) -> bool:
    """Whether it is likely to be of other beer: the certificate of another filling, or one entered in passing."""
    return abs((measured.measured_on - brewery_day(lot.made_at)).days) > settings.DUTY_STRENGTH_DAYS


def _named(codes: list[str]) -> str:
    more = f" and {len(codes) - MOST_NAMED} more" if len(codes) > MOST_NAMED else ""
    return ", ".join(sorted(codes)[:MOST_NAMED]) + more


def _not_counted(period: Period) -> Iterator[Missing]:
    """Which places with beer in them were not counted about the end of the period."""
    _, end = edges(period)
    about = CountSheet.objects.filter(
        state=CountSheet.State.BOOKED, counted_at__gte=end - COUNTED_WITHIN, counted_at__lte=end + COUNTED_WITHIN
    )
    counted = Q(pk__in=about.values("location"))
    held = Balance.objects.held().filter(lot__material__kind__in=_BEER)
    places = Location.objects.inside().filter(pk__in=held.values("location")).exclude(counted)
    codes = list(places.exclude(kind=Location.Kind.LABORATORY).values_list("code", flat=True))
    if codes:
        yield Missing(f"No count about the end of the period of: {', '.join(codes)}.", must=False)


def strengths_of(lots: list[Lot]) -> list[tuple[str, ...]]:
    """Return lot, product, alcohol, method, day and laboratory, and original extract with its method and day.

    As measured; of packaged beer empty where it was not, beer in tanks only where it was.
    """
    alcohols, extracts = measured_alcohols(lots), measured_extracts(lots)
    return [
        (lot.code, lot.material.code, *_told(alcohols.get(lot.pk)), *_told(extracts.get(lot.pk))[:3])
        for lot in lots
        if lot.material.kind == Material.Kind.PACKAGED or lot.pk in alcohols or lot.pk in extracts
    ]


def _told(one: MeasuredStrength | None) -> tuple[str, str, str, str]:
    return (one.shown, one.method, one.measured_on.isoformat(), one.laboratory) if one else ("", "", "", "")
