"""Closing a duty period, and amending one: what was known is kept with its digest, under a seal of the whole record."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from brewery.kernel.clock import now
from brewery.kernel.database.locks import hold_still, take_turn
from brewery.kernel.database.sets import AT_ONCE
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import Request, Seal, User
from brewery.kernel.queries.seals import digest_of
from brewery.kernel.services.requests import once
from brewery.kernel.services.seals import seal_record
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.periods import period_of
from brewery.science.duty.schemes import CAUTION, LateEntry
from inventory.models import Event, Lot
from inventory.queries.usage import Period
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.refusals import ReasonMissing
from traceability.models import BondedLot, DutyClosing
from traceability.queries.duty_periods import (
    EXTRACT,
    Missing,
    late_postings,
    missing_for,
    record_under,
    standing_closing,
    strengths_of,
)
from traceability.queries.duty_record import bonded_lots, litres, postings_by_line
from traceability.queries.duty_report import record_as_data
from traceability.queries.duty_stocktake import stock_as_data, stock_taken
from traceability.queries.duty_worksheets import worksheet_as_data
from traceability.services.duty_rates import refuse_no_scheme

_CLOSING = 0x64757479
"""The turn of those who close or amend a period of duty: any number that no other turn has."""


class PeriodNotReady(DomainError):
    code = "duty_period_not_ready"
    title = "The period cannot be closed yet."
    template = "{first} to {last} cannot be closed: {missing}"
    advice = "Settle it, and close again."


class AlreadyClosed(DomainError):
    code = "duty_period_already_closed"
    title = "The period is closed."
    template = "{first} to {last} was closed under {scheme} already."
    advice = "Amend it, where the scheme takes amendments."


class NotAmended(DomainError):
    code = "duty_period_not_amended"
    title = "The period is not amended."
    template = "{why}"


def close_period(*, scheme: str, first: date, last: date, actor: User, request_id: UUID) -> DutyClosing:
    """The period is closed: what is known of it now is kept, with its digest and the seal that it was read under.

    Raises InvalidInput, AlreadyClosed, PeriodNotReady.
    """
    seal_record()
    with _turn():
        return _close(scheme=scheme, first=first, last=last, actor=actor, request_id=request_id)


def amend_period(*, closing: DutyClosing, reason: str, actor: User, request_id: UUID) -> DutyClosing:
    """The period is kept anew, with what was recorded late. Raises ReasonMissing, NotAmended."""
    seal_record()
    with _turn():
        return _amend(closing=closing, reason=reason, actor=actor, request_id=request_id)


@contextmanager
def _turn() -> Iterator[None]:
    """One after the other, before any of them writes: of two who have written, neither can hold the record still."""
    with transaction.atomic():
        take_turn(_CLOSING)
        yield


@once("close_duty_period", returns=DutyClosing)
def _close(*, scheme: str, first: date, last: date, actor: User, request_id: UUID) -> DutyClosing:
    period = Period(first, last)
    refuse_no_period(scheme, period)
    closed_at = _still()
    if standing_closing(scheme, period):
        raise AlreadyClosed(first=first, last=last, scheme=scheme, field="first")
    missing = [one for one in missing_for(scheme, period) if one.must]
    if missing:
        raise PeriodNotReady(first=first, last=last, missing=_told(missing), field="first")
    return _keep(scheme, period, closed_at, actor=actor, request_id=request_id)


@once("amend_duty_period", returns=DutyClosing)
def _amend(*, closing: DutyClosing, reason: str, actor: User, request_id: UUID) -> DutyClosing:
    if not reason.strip():
        raise ReasonMissing(what="An amendment", field="reason")
    if SCHEMES[closing.scheme].late_entry is not LateEntry.AMENDMENT:
        why = f"Under {closing.scheme} a late entry belongs to the next period: it stands apart there."
        raise NotAmended(why=why, field="closing")
    closed_at = _still()
    period = Period(closing.first, closing.last)
    if standing_closing(closing.scheme, period) != closing:
        raise NotAmended(why="It was amended already: amend the last amendment.", field="closing")
    if not late_postings(closing).exists():
        raise NotAmended(why="Nothing was recorded since that happened in it.", field="closing")
    told = {"amends": closing, "reason": reason.strip()}
    return _keep(closing.scheme, period, closed_at, **told, actor=actor, request_id=request_id)


def refuse_no_period(scheme: str, period: Period) -> None:
    """Raise InvalidInput where the scheme is not known, or the days are none of its periods."""
    refuse_no_scheme(scheme)
    kinds = SCHEMES[scheme].period_kinds
    if (period.first, period.last) not in [period_of(kind, period.first) for kind in kinds]:
        problem = f"Under {scheme} a period is a {' or a '.join(kinds)}: give its first and its last day."
        raise InvalidInput(field="first", value=str(period), problem=problem)


def _still() -> datetime:
    """Nobody else writes from here to the end of the transaction; return the moment, later than all they wrote."""
    hold_still(Request)
    return now()


def _keep(scheme: str, period: Period, closed_at: datetime, **told: Any) -> DutyClosing:
    kept = _as_known(scheme, period, closed_at)
    ring_for_alerts(Bell.DUTY)
    closing = DutyClosing.objects.create(
        scheme=scheme,
        first=period.first,
        last=period.last,
        record=kept,
        digest=digest_of(kept),
        closed_at=closed_at,
        seal=Seal.objects.order_by("-pk").first(),
        last_event=Event.objects.order_by("-pk").first(),
        **told,
    )
    lots = bonded_lots(period, closed_at)
    BondedLot.objects.bulk_create(
        (BondedLot(closing=closing, lot_id=lot, quantity_micro=micro) for lot, micro in lots.items()),
        batch_size=AT_ONCE,
    )
    return closing


def _as_known(scheme: str, period: Period, known_by: datetime) -> dict[str, Any]:
    postings = [
        {
            "line": line,
            "event": posting.event_id,
            "happened_at": posting.event.happened_at.isoformat(),
            "recorded_at": posting.event.recorded_at.isoformat(),
            "lot": posting.lot.code,
            "product": posting.lot.material.code,
            "from": posting.from_location.code,
            "to": posting.to_location.code,
            "litres": litres(pico),
        }
        for line, found in postings_by_line(period, known_by=known_by).items()
        for posting, pico in found
    ]
    lots = Lot.objects.filter(code__in={one["lot"] for one in postings}, reversed_by=None)
    names = ("lot", "product", "alcohol", "method", "measured_on", "laboratory", *EXTRACT)
    strengths = strengths_of(list(lots.select_related("material").order_by("code")))
    return {
        **record_as_data(period, record_under(scheme, period, known_by)),
        "scheme": scheme,
        "postings": postings,
        "strengths": [dict(zip(names, one, strict=True)) for one in strengths],
        "worksheet": worksheet_as_data(scheme, period),
        "stock": stock_as_data(stock_taken(period)),
        "unsettled": [one.words for one in missing_for(scheme, period) if not one.must],
        "caution": CAUTION,
    }


def _told(missing: Sequence[Missing]) -> str:
    return " ".join(one.words for one in missing)
