"""Two accountants at one period, and a cellar that goes on meanwhile. On PostgreSQL, where they act side by side."""

from datetime import date

import pytest

from inventory.queries.usage import Period
from inventory.services.certificates import Measured, enter_certificate
from inventory.services.disposals import destroy
from tests.brewhouse import Brewhouse, at, micro, rid
from tests.concurrency.test_bookings import side_by_side
from traceability.models import DutyClosing
from traceability.queries.duty_periods import late_postings
from traceability.queries.duty_record import postings_of
from traceability.services.duty_periods import amend_period, close_period

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

MARCH = {"first": date(2026, 3, 1), "last": date(2026, 3, 31)}
QUARTER = {"first": date(2026, 1, 1), "last": date(2026, 3, 31)}
MANY = 6


@pytest.fixture
def house(brewhouse: Brewhouse) -> Brewhouse:
    """March, with kegs that left bond and were measured."""
    brewhouse.whole_chain()
    values = [Measured("alcohol", "4.8", method="EBC 9.2.1"), Measured("original_extract", "12.1", method="EBC 9.4")]
    enter_certificate(lot=brewhouse.lot("KEG1"), values=values, **brewhouse.by("quality"))
    return brewhouse


def test_of_many_who_close_one_period_one_does_and_the_others_are_told(house: Brewhouse):
    met = side_by_side(MANY, lambda _: close_period(scheme="us", **MARCH, **house.by("accounting")))
    assert met == ["done", *["duty_period_already_closed"] * (MANY - 1)]
    assert DutyClosing.objects.count() == 1


def test_a_closing_that_is_sent_many_times_at_once_is_one_answer_to_all(house: Brewhouse):
    asked = {"actor": house.people["accounting"], "request_id": rid()}
    assert side_by_side(MANY, lambda _: close_period(scheme="us", **MARCH, **asked)) == ["done"] * MANY
    assert DutyClosing.objects.count() == 1


def test_of_a_month_and_the_quarter_that_holds_it_one_is_closed(house: Brewhouse):
    periods = (MARCH, QUARTER)
    met = side_by_side(2, lambda number: close_period(scheme="us", **periods[number], **house.by("accounting")))
    assert met == ["done", "duty_period_not_ready"]
    assert DutyClosing.objects.count() == 1


def test_of_two_amendments_one_is_made(house: Brewhouse):
    closing = close_period(scheme="de", **MARCH, **house.by("accounting"))
    house.destroy("KEG1", "COLD", "1 each", hours=350)
    asked = {"closing": closing, "reason": "found at the count"}
    met = side_by_side(2, lambda _: amend_period(**asked, **house.by("accounting")))
    assert met == ["done", "duty_period_not_amended"]


def test_what_is_recorded_while_a_period_is_closed_is_in_it_or_late_and_never_both_or_neither(house: Brewhouse):
    lot, place = house.lot("KEG1"), house.place("COLD")

    def one(number: int) -> None:
        if number == 0:
            close_period(scheme="us", **MARCH, **house.by("accounting"))
        else:
            told = {"quantity_micro": micro("1 each"), "reason": "burst", "happened_at": at(340 + number)}
            destroy(lot=lot, location=place, **told, **house.by("brewing"))

    assert side_by_side(1 + MANY, one) == ["done"] * (1 + MANY)
    closing = DutyClosing.objects.get()
    inside = [posting["event"] for posting in closing.record["postings"] if posting["line"] == "destroyed"]
    late = [posting.event_id for posting in late_postings(closing)]
    known = [posting.event_id for posting, _ in postings_of(Period(**MARCH), "destroyed")]
    assert sorted([*inside, *late]) == sorted(known)
    assert len(known) == MANY
