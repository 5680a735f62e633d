"""Counting on from what a closed period left in bond tells the same as counting from the first day."""

import os
from datetime import date, datetime, timedelta
from itertools import product
from random import Random
from typing import Any

import pytest
from django.db import Error, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.database.refusals import broken_rule
from brewery.kernel.models import Request
from inventory.models import Event
from inventory.queries.audits import run_audits
from inventory.queries.usage import Period
from tests.brewhouse import Brewhouse, at
from tests.histories import History
from tests.traceability.test_duty_record import stand_somehow
from traceability.models import BondedLot, DutyClosing
from traceability.queries import duty_record as record
from traceability.queries.duty_audit import BONDED
from traceability.queries.duty_bonded import closing_to_count_from, lots_of
from traceability.queries.duty_moments import ALWAYS
from traceability.queries.duty_record import bonded_lots, duty_record, moved_late
from traceability.services.duty import PeriodIsClosed, tell_standing
from traceability.services.duty_periods import _keep

HISTORIES = int(os.environ.get("HISTORIES", "12"))
MARCH, APRIL = Period(date(2026, 3, 1), date(2026, 3, 31)), Period(date(2026, 4, 1), date(2026, 4, 30))

pytestmark = pytest.mark.django_db


def keep(house: Brewhouse, period: Period) -> DutyClosing:
    """The period is kept as a closing keeps it, whatever is missing."""
    request = Request.objects.order_by("recorded_at").last()
    assert request
    return _keep("us", period, now(), actor=house.people["accounting"], request_id=request.pk)


def told(period: Period, **known: datetime) -> list[Any]:
    return [
        (row.beer, row.opening_pico, nonzero(row.late), nonzero(row.lines), row.closing_pico)
        for row in duty_record(period, **known)
    ]


def nonzero(lines: dict[str, int]) -> dict[str, int]:
    return {name: pico for name, pico in lines.items() if pico}


@settings(
    max_examples=HISTORIES,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32), steps=st.integers(min_value=4, max_value=24))
def test_a_record_after_a_closing_is_as_if_it_were_counted_from_the_first_day(
    brewhouse: Brewhouse, seed: int, steps: int
):
    """With what was recorded late, taken back, and known at any time since."""
    with transaction.atomic(), pytest.MonkeyPatch.context() as patch:
        random = Random(seed)
        stand_somehow(brewhouse, random)
        season = History(brewhouse, random)
        season.play(steps)
        first, last = (brewery_day(moment) for moment in ends())
        closed = first + timedelta(days=random.randrange((last - first).days + 1))
        closing = keep(brewhouse, Period(first, closed))
        for _ in range(steps):
            season.tell_late()
            season.reverse()
        season.play(steps // 2)
        last = brewery_day(ends()[1])
        periods = [Period(closed + timedelta(days=1), max(last, closed + timedelta(days=1)))]
        periods.append(Period(periods[0].last, periods[0].last + timedelta(days=3)))
        moments = [
            ALWAYS,
            closing.closed_at,
            *random.sample(recorded_since(closing), k=min(2, len(recorded_since(closing)))),
        ]
        counted_on = counted(periods, moments)
        assert closing_to_count_from(periods[0].first, ALWAYS) == closing
        patch.setattr(record, "closing_to_count_from", lambda *_: None)
        assert counted(periods, moments) == counted_on
        transaction.set_rollback(True)


def ends() -> tuple[datetime, datetime]:
    moments = Event.objects.order_by("happened_at").values_list("happened_at", flat=True)
    return moments[0], moments.reverse()[0]


def recorded_since(closing: DutyClosing) -> list[datetime]:
    rows = Event.objects.filter(recorded_at__gte=closing.closed_at).order_by("pk")
    return list(rows.values_list("recorded_at", flat=True))


def counted(periods: list[Period], moments: list[datetime]) -> list[Any]:
    """Everything that can be asked of the periods."""
    known = list(product(periods, moments))
    return [
        *(told(period, opened_by=opened, known_by=by) for period, by in known for opened in moments),
        *(bonded_lots(period, by) for period, by in known),
    ]


def test_an_entry_that_comes_late_is_on_top_of_what_was_kept(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    closing = keep(brewhouse, MARCH)
    kegs = brewhouse.lot("KEG1").pk
    assert dict(closing.lots.values_list("lot", "quantity_micro"))[kegs] == 7 * 10**6
    brewhouse.destroy("KEG1", "COLD", "2 each", hours=350)
    assert bonded_lots(APRIL)[kegs] == 5 * 10**6
    (row,) = (row for row in duty_record(APRIL, opened_by=closing.closed_at) if row.beer.contents_micro)
    assert (row.opening_pico, nonzero(row.late)) == (350 * 10**12, {"destroyed": -100 * 10**12})
    assert [(one.lot.pk, one.line, one.micro) for one in moved_late(at(24 * 30), closing)] == [
        (kegs, "destroyed", -2 * 10**6)
    ]


def test_it_is_counted_from_the_last_closing_that_was_known_and_lies_before(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    assert closing_to_count_from(APRIL.first, ALWAYS) is None
    closing = keep(brewhouse, MARCH)
    assert closing_to_count_from(APRIL.first, ALWAYS) == closing
    assert closing_to_count_from(APRIL.first, closing.closed_at - timedelta(seconds=1)) is None
    assert closing_to_count_from(MARCH.last, ALWAYS) is None
    DutyClosing.objects.create(scheme="de", first=MARCH.first, last=MARCH.last, **older(closing))
    assert closing_to_count_from(APRIL.first, ALWAYS) == closing, "the other does not tell what was in bond"
    with pytest.raises(PeriodIsClosed, match="was closed under"):
        tell_standing(party=brewhouse.party("INN"), standing="abroad", since=at(0), **brewhouse.by("accounting"))


def older(closing: DutyClosing) -> dict[str, Any]:
    """What a closing has that was made before closings told what was in bond."""
    names = ("record", "digest", "closed_at", "actor", "request")
    return {name: getattr(closing, name) for name in names}


def test_what_a_closing_left_in_bond_is_never_changed(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    keep(brewhouse, MARCH)
    with pytest.raises(Error) as changed, transaction.atomic():
        BondedLot.objects.update(quantity_micro=0)
    assert broken_rule(changed.value) == "bonded_lots_are_never_changed"


def test_an_audit_finds_what_a_closing_tells_otherwise_than_the_postings(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    closing = keep(brewhouse, MARCH)
    brewhouse.destroy("KEG1", "COLD", "2 each", hours=350)
    assert disagreements() == []
    kegs = brewhouse.lot("KEG1").pk
    amendment = DutyClosing.objects.create(
        scheme="us",
        first=MARCH.first,
        last=MARCH.last,
        amends=closing,
        reason="x",
        last_event=closing.last_event,
        **older(closing),
    )
    told = {lot: micro for lot, micro in lots_of(closing).items() if lot != kegs}
    BondedLot.objects.bulk_create(BondedLot(closing=amendment, lot_id=lot, quantity_micro=told[lot]) for lot in told)
    assert disagreements() == [
        (kegs, f"of KEG1 closing {amendment.pk} says 0, the postings 7000000 micro-units"),
    ]


def disagreements() -> list[tuple[int, str]]:
    return [(finding.row, finding.detail) for _, found in run_audits([BONDED]) for finding in found]
