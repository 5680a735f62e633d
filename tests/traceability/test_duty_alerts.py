"""What is told of duty: periods that are due, told in time and until they are closed, and what came late."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import time_machine

from brewery.kernel.clock import now
from brewery.kernel.models import Job
from inventory.models import Alert
from inventory.services.alert_bells import LOOK, Bell
from inventory.services.alerts import look
from inventory.services.certificates import Measured, enter_certificate
from tests.brewhouse import Brewhouse, at
from tests.standing import built_once
from traceability.models import DutyClosing
from traceability.services.duty_periods import amend_period, close_period
from traceability.services.duty_rates import tell_facts

pytestmark = pytest.mark.django_db


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """March is told in full, and beer was made and sold in it."""
    brewhouse.whole_chain()
    values = [Measured("alcohol", "4.8", method="EBC 9.2.1"), Measured("original_extract", "12.1", method="EBC 9.4")]
    enter_certificate(lot=brewhouse.lot("KEG1"), values=values, **brewhouse.by("quality"))
    return brewhouse


def close(house: Brewhouse, scheme: str, month: int) -> None:
    last = {3: 31, 4: 30}[month]
    days = {"first": datetime(2026, month, 1).date(), "last": datetime(2026, month, last).date()}
    close_period(scheme=scheme, **days, **house.by("accounting"))


def told(kind: str) -> list[tuple[str, int]]:
    look(kind)
    return list(Alert.objects.due(now()).filter(kind=kind).values_list("words", "severity"))


def test_nobody_is_told_of_a_scheme_that_the_brewery_does_not_use(house: Brewhouse):
    assert told("duty_due") == []


@pytest.mark.parametrize(("since", "is_told"), [(date(2026, 1, 1), True), (date(2026, 5, 1), False)])
def test_who_answered_a_scheme_is_told_of_its_first_period(house: Brewhouse, since: date, is_told: bool):
    facts = {"made_hl": Decimal(10_000), "independent": True}
    tell_facts(scheme="de", since=since, facts=facts, **house.by("accounting"))
    with time_machine.travel(datetime(2026, 5, 6, 12, tzinfo=UTC), tick=False):
        words = (
            "The return of duty for 2026-04-01 to 2026-04-30, Germany, Biersteueranmeldung, is due on 2026-05-07: "
            "the period is not closed yet."
        )
        assert told("duty_due") == ([(words, Alert.Severity.WARNING)] if is_told else [])


@pytest.mark.parametrize(
    ("day", "severity"),
    [(7, None), (8, Alert.Severity.WARNING), (15, Alert.Severity.WARNING), (16, Alert.Severity.URGENT)],
)
def test_the_next_period_is_told_a_week_before_its_return_is_due(
    house: Brewhouse, day: int, severity: Alert.Severity | None
):
    """Due on the fifteenth day after the period: pay.gov, ATF_5130_9_v6."""
    close(house, "us", 3)
    with time_machine.travel(datetime(2026, 5, day, 12, tzinfo=UTC), tick=False):
        words = (
            "The return of duty for 2026-04-01 to 2026-04-30, United States, TTB F 5130.9, is due on 2026-05-15: "
            "the period is not closed yet."
        )
        assert told("duty_due") == ([] if severity is None else [(words, severity)])


def test_it_is_told_until_the_period_is_closed(house: Brewhouse):
    close(house, "us", 3)
    close(house, "us", 4)
    with time_machine.travel(datetime(2026, 5, 20, 12, tzinfo=UTC), tick=False):
        assert told("duty_due") == []


def test_what_came_late_is_told_where_the_closed_period_must_be_amended(house: Brewhouse):
    close(house, "us", 3)
    close(house, "de", 3)
    assert told("duty_late_entry") == []
    house.destroy("KEG1", "COLD", "2 each", hours=350)
    words = (
        "1 entry was recorded after 2026-03-01 to 2026-03-31 was closed under Germany, Biersteueranmeldung: amend it."
    )
    assert told("duty_late_entry") == [(words, Alert.Severity.WARNING)]


def test_who_closes_or_amends_has_the_alerts_looked_for_soon(house: Brewhouse):
    close(house, "de", 3)
    house.destroy("KEG1", "COLD", "2 each", hours=350)
    looks = Job.objects.filter(name=LOOK, arguments={"bell": Bell.DUTY.value})
    assert looks.count() == 1
    looks.update(state=Job.State.DONE, finished_at=now(), run_after=at(0))
    asked = {"closing": DutyClosing.objects.get(), "reason": "found at the count"}
    amend_period(**asked, **house.by("accounting"))
    assert looks.exclude(state=Job.State.DONE).count() == 1
    assert told("duty_late_entry") == []
