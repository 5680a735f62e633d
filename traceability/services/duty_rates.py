"""Entering what a duty scheme is reckoned by: rates with their source, and the answers to its questions."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.questions import Facts, Question
from inventory.services.alert_bells import Bell, ring_for_alerts
from traceability.models import DutyFacts, DutyRate
from traceability.queries.duty_rates import facts_to_keep, unit_of_rate

LARGEST = Decimal(1_000_000)
_PLACES = 6


@once("enter_duty_rate", returns=DutyRate)
def enter_rate(
    *,
    scheme: str,
    key: str,
    value: Decimal,
    valid_from: date,
    source: str,
    actor: User,
    request_id: UUID,
    valid_until: date | None = None,
    checked_on: date | None = None,
) -> DutyRate:
    """From `valid_from` on the rate is this, by this source. Raises InvalidInput."""
    refuse_no_scheme(scheme)
    if unit_of_rate(scheme, key) is None:
        known = ", ".join(dict.fromkeys(row.key for row in SCHEMES[scheme].rates))
        raise InvalidInput(field="key", value=key, problem=f"The scheme has these: {known}.")
    if not value.is_finite() or abs(value) > LARGEST:
        raise InvalidInput(field="value", value=value, problem=f"Give a number of up to {LARGEST:f}.")
    if value != round(value, _PLACES):
        raise InvalidInput(field="value", value=value, problem=f"Give up to {_PLACES} decimals.")
    if valid_until is not None and valid_until < valid_from:
        raise InvalidInput(field="valid_until", value=valid_until, problem=f"It begins on {valid_from}.")
    if not source.strip():
        raise InvalidInput(
            field="source", value=source, problem="Say where it is from, so that another can look it up."
        )
    if checked_on is not None and checked_on > brewery_day():
        raise InvalidInput(field="checked_on", value=checked_on, problem="That day has not come yet.")
    return DutyRate.objects.create(
        scheme=scheme,
        key=key,
        value_micro=int(value.scaleb(_PLACES)),
        valid_from=valid_from,
        valid_until=valid_until,
        source=source.strip(),
        checked_on=checked_on,
        told_at=now(),
        actor=actor,
        request_id=request_id,
    )


@once("tell_duty_facts", returns=DutyFacts)
def tell_facts(*, scheme: str, since: date, facts: Facts, actor: User, request_id: UUID) -> DutyFacts:
    """The scheme's questions are answered so from a day on, until answered again. Raises InvalidInput."""
    refuse_no_scheme(scheme)
    questions = {one.key: one for one in SCHEMES[scheme].questions}
    for key, told in facts.items():
        if key not in questions:
            raise InvalidInput(field=key, value=told, problem=f"The scheme asks {', '.join(questions) or 'nothing'}.")
        _refuse_answer(questions[key], told)
    kept = facts_to_keep(facts)
    ring_for_alerts(Bell.DUTY)
    return DutyFacts.objects.create(
        scheme=scheme, since=since, facts=kept, told_at=now(), actor=actor, request_id=request_id
    )


def refuse_no_scheme(scheme: str) -> None:
    """Raise InvalidInput where the scheme is not known."""
    if scheme not in SCHEMES:
        raise InvalidInput(field="scheme", value=scheme, problem=f"It is one of {', '.join(SCHEMES)}.")


def _refuse_answer(question: Question, told: Decimal | bool) -> None:
    if question.unit is None and not isinstance(told, bool):
        raise InvalidInput(field=question.key, value=told, problem="Answer it with yes or no.")
    if question.unit is not None and (isinstance(told, bool) or not told.is_finite() or told < 0):
        raise InvalidInput(field=question.key, value=told, problem=f"Answer it with a number of {question.unit}.")
