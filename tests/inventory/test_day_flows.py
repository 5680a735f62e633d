"""Day flows: kept with the postings, on the brewery's days, equal to a plain sum over them to the micro-unit."""

import threading
from collections import Counter
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.db import connections, transaction
from hypothesis import given
from hypothesis import strategies as st

from inventory.models import ClockOffset, DayFlow, Event, Location, Posting, YearFlow
from inventory.queries.audits import run_audits
from inventory.queries.audits.running import FLOWS
from inventory.queries.brewery_days import _offsets_of, offsets
from inventory.queries.turnover import turnover_of
from inventory.queries.usage import Period, usage_of
from inventory.services.day_flows import keep_the_days
from tests.brewhouse import START, Brewhouse, at, micro
from tests.standing import built_once

BERLIN = ZoneInfo("Europe/Berlin")


def kept() -> Counter[tuple[object, ...]]:
    """What the day flows say, by their keys but for the slot."""
    told: Counter[tuple[object, ...]] = Counter()
    for row in DayFlow.objects.all():
        told[row.day, row.recorded_on, row.material_id, row.kind, row.from_kind, row.to_kind] += row.quantity_micro
    return told


def kept_by_year() -> Counter[tuple[object, ...]]:
    """What the year flows say, by their keys but for the slot."""
    told: Counter[tuple[object, ...]] = Counter()
    for row in YearFlow.objects.all():
        told[row.year, row.material_id, row.kind, row.from_kind, row.to_kind] += row.quantity_micro
    return told


def years_of(days: Counter[tuple[object, ...]]) -> Counter[tuple[object, ...]]:
    """The same by years."""
    told: Counter[tuple[object, ...]] = Counter()
    for (day, _, *way), quantity in days.items():
        told[(day.year, *way)] += quantity  # type: ignore[attr-defined]
    return told


def posted(zone: ZoneInfo = BERLIN) -> Counter[tuple[object, ...]]:
    """What the postings say, one by one, with days as Python tells them: it shares nothing with the database's text."""
    told: Counter[tuple[object, ...]] = Counter()
    for row in Posting.objects.select_related("event__reverses", "lot", "from_location", "to_location"):
        event, ends = row.event, (row.from_location.kind, row.to_location.kind)
        kind, ends = (event.reverses.kind, ends[::-1]) if event.reverses else (event.kind, ends)
        days = (event.happened_at.astimezone(zone).date(), event.recorded_at.astimezone(zone).date())
        told[(*days, row.lot.material_id, kind, *ends)] += (-1 if event.reverses else 1) * row.quantity_micro
    return told


def findings() -> list[str]:
    return [finding.detail for _, found in run_audits([FLOWS]) for finding in found]


def test_a_whole_chain_with_what_was_undone_is_summed_as_its_postings_are(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    brewhouse.reverse(Event.objects.get(kind=Event.Kind.TAKE_BACK))
    brewhouse.reverse(Event.objects.get(kind=Event.Kind.SHIP))
    assert kept() == posted()
    assert kept_by_year() == years_of(posted())
    assert findings() == []


def test_what_was_undone_is_taken_off_its_own_day_under_the_day_on_which_it_was_found_out(brewhouse: Brewhouse):
    mistake = brewhouse.deliver("SAAZ", "H9", "1 kg", hours=0)
    with time_machine.travel(START + timedelta(days=200)):
        brewhouse.reverse(mistake)
    rows = DayFlow.objects.filter(material__code="SAAZ").order_by("quantity_micro")
    assert {row.day for row in rows} == {START.date()}
    assert [(row.kind, row.from_kind, row.to_kind, row.quantity_micro) for row in rows] == [
        ("receive", "supplier", "store", -micro("1 kg")),
        ("receive", "supplier", "store", micro("1 kg")),
    ]
    assert rows[0].recorded_on == date(2026, 9, 18)
    assert set(turnover_of([brewhouse.material("SAAZ")])[0].flows.values()) == {0}


MIDNIGHT_IN_SUMMER = datetime(2026, 7, 31, 22, 0, tzinfo=UTC)
MIDNIGHT_IN_WINTER = datetime(2026, 1, 31, 23, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("moment", "day"),
    [
        (MIDNIGHT_IN_SUMMER - timedelta(microseconds=1), date(2026, 7, 31)),
        (MIDNIGHT_IN_SUMMER, date(2026, 8, 1)),
        (MIDNIGHT_IN_WINTER - timedelta(microseconds=1), date(2026, 1, 31)),
        (MIDNIGHT_IN_WINTER, date(2026, 2, 1)),
    ],
)
def test_the_day_is_the_brewerys_to_the_microsecond(brewhouse: Brewhouse, moment: datetime, day: date):
    hours = (moment - START) / timedelta(hours=1)
    assert at(hours) == moment
    brewhouse.deliver("SAAZ", "H9", "1 kg", hours=hours)
    assert DayFlow.objects.get(material__code="SAAZ").day == day


@given(
    zone=st.sampled_from(["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"]),
    moment=st.datetimes(datetime(1970, 1, 2), datetime(2099, 12, 30), timezones=st.just(UTC)),
)
def test_the_clocks_offsets_are_those_of_the_time_zone(zone: str, moment: datetime):
    since = [seconds for start, seconds in _offsets_of(ZoneInfo(zone)) if start <= moment]
    assert timedelta(seconds=since[-1]) == moment.astimezone(ZoneInfo(zone)).utcoffset()


def test_another_time_zone_is_found_and_the_days_are_made_anew(brewhouse: Brewhouse, settings):
    brewhouse.whole_chain()
    settings.BREWERY_TIME_ZONE = "Pacific/Auckland"
    assert findings()[0].startswith("its days are those of another time zone")
    keep_the_days()
    assert list(ClockOffset.objects.values_list("since", "seconds")) == offsets()
    assert kept() == posted(ZoneInfo("Pacific/Auckland"))
    assert kept_by_year() == years_of(kept())
    assert findings() == []


def test_a_day_flow_that_somebody_changed_is_found(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H9", "1 kg", hours=0)
    DayFlow.objects.filter(material__code="SAAZ").update(quantity_micro=1)
    assert findings() == [
        "on 2026-03-02, receive, supplier to store: the day flow says 1, the postings 1000000 micro-units",
        "in 2026, receive, supplier to store: the year flow says 1000000, its days 1 micro-units",
    ]


def test_a_year_flow_that_somebody_changed_is_found(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H9", "1 kg", hours=0)
    YearFlow.objects.filter(material__code="SAAZ").update(quantity_micro=1)
    assert findings() == ["in 2026, receive, supplier to store: the year flow says 1, its days 1000000 micro-units"]


def test_what_is_asked_of_a_later_year_is_the_same_by_years_and_by_all_the_days(brewhouse: Brewhouse):
    """Asked with a day by which it was known, all the days are summed; without, the years and then the days."""
    brewhouse.whole_chain()
    for period in (Period(date(2027, 2, 1), date(2027, 2, 28)), Period(date(2026, 3, 3), date(2027, 1, 31))):
        by_years, by_days = usage_of(period), usage_of(period, known_by=date(2030, 1, 1))
        assert [(one.opening_micro, one.columns) for one in by_years] == [
            (one.opening_micro, one.columns) for one in by_days
        ]
        assert any(one.opening_micro for one in by_years)


@built_once
def two_lots(brewhouse: Brewhouse) -> Brewhouse:
    for lot in ("H1", "H2"):
        brewhouse.deliver("SAAZ", lot, "5 kg", hours=0)
    return brewhouse


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_who_posts_the_same_way_at_the_same_time_waits_for_nobody(two_lots: Brewhouse):
    def other_clerk() -> None:
        try:
            two_lots.move("H2", "STORE", "COLD", "2 kg", hours=1)
        finally:
            connections.close_all()

    with transaction.atomic():
        two_lots.move("H1", "STORE", "COLD", "1 kg", hours=1)
        other = threading.Thread(target=other_clerk)
        other.start()
        other.join(timeout=60)
        assert not other.is_alive()
    moved = DayFlow.objects.filter(kind=Event.Kind.MOVE, to_kind=Location.Kind.STORE)
    assert sorted(moved.values_list("quantity_micro", flat=True)) == [micro("1 kg"), micro("2 kg")]
    assert findings() == []
