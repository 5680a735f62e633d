"""The daily schedule: each day once, by the brewery's clock, whoever asks and whoever was away."""

from datetime import UTC, datetime, time, timedelta
from threading import Event

import pytest
import time_machine

from brewery.kernel.clock import now
from brewery.kernel.jobs.loop import run_what_is_due
from brewery.kernel.models import Job, ScheduleMark
from brewery.kernel.services import job_registry as registry
from brewery.kernel.services.schedules import enqueue_due, latest_due, next_due

HALF_PAST_TWO = time(2, 30)
DAILY = {"sweep the malt loft": HALF_PAST_TWO}
TEN_MINUTES = timedelta(minutes=10)
MONDAY = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


# Central European summer time began at 01:00 UTC on 29 March 2026 and ends at 01:00 UTC on 25 October 2026
# (Directive 2000/84/EC: the last Sundays of March and October).
@pytest.mark.parametrize(
    ("moment", "due"),
    [
        ("2026-02-10 01:29", "2026-02-09 01:30"),
        ("2026-02-10 01:30", "2026-02-10 01:30"),
        ("2026-06-10 00:29", "2026-06-09 00:30"),
        ("2026-06-10 00:30", "2026-06-10 00:30"),
        ("2026-06-10 23:59", "2026-06-10 00:30"),
        ("2026-03-29 01:29", "2026-03-28 01:30"),  # 02:30 is skipped, and 03:30 stands for it
        ("2026-03-29 01:30", "2026-03-29 01:30"),
        ("2026-03-30 00:30", "2026-03-30 00:30"),
        ("2026-10-25 00:30", "2026-10-25 00:30"),  # 02:30 comes twice, and the first one counts
        ("2026-10-25 01:30", "2026-10-25 00:30"),
        ("2026-10-26 01:29", "2026-10-25 00:30"),
        ("2026-10-26 01:30", "2026-10-26 01:30"),
    ],
)
def test_half_past_two_comes_once_a_day_by_the_clock_in_berlin(moment: str, due: str, settings):
    settings.BREWERY_TIME_ZONE = "Europe/Berlin"
    assert latest_due(HALF_PAST_TWO, utc(moment)) == utc(due)


def test_the_brewery_may_be_far_from_greenwich(settings):
    settings.BREWERY_TIME_ZONE = "Pacific/Auckland"  # UTC+12 in June: New Zealand Standard Time
    assert latest_due(HALF_PAST_TWO, utc("2026-06-10 14:29")) == utc("2026-06-09 14:30")
    assert latest_due(HALF_PAST_TWO, utc("2026-06-10 14:30")) == utc("2026-06-10 14:30")


@pytest.fixture
def clock():
    with time_machine.travel(MONDAY, tick=False) as traveller:
        yield traveller


def names(jobs: list[Job]) -> list[str]:
    return [job.name for job in jobs]


@pytest.mark.django_db
def test_a_job_that_is_new_to_the_schedule_waits_for_its_time(clock):
    assert enqueue_due(DAILY) == []
    clock.move_to(utc("2026-06-02 00:29"))
    assert enqueue_due(DAILY) == []
    clock.move_to(utc("2026-06-02 00:30"))
    assert names(enqueue_due(DAILY)) == ["sweep the malt loft"]


@pytest.mark.django_db
def test_each_day_is_enqueued_once_however_often_it_is_asked_for(clock):
    enqueue_due(DAILY)
    enqueued = 0
    for _ in range(3 * 24 * 60):
        clock.shift(timedelta(minutes=1))
        enqueued += len(enqueue_due(DAILY))
    assert enqueued == Job.objects.count() == 3


@pytest.mark.django_db
def test_days_that_nobody_was_there_for_are_made_good_by_one_run(clock):
    enqueue_due(DAILY)
    clock.shift(timedelta(days=10))
    assert len(enqueue_due(DAILY)) == 1
    assert enqueue_due(DAILY) == []


@pytest.mark.django_db
def test_two_clocks_that_see_the_same_time_enqueue_once(clock, monkeypatch):
    enqueue_due(DAILY)
    clock.shift(timedelta(days=1))
    really_update, raced = ScheduleMark.objects.in_bulk, []

    def read_while_another_enqueues(*args: object, **options: object) -> dict[str, ScheduleMark]:
        marks = really_update(*args, **options)
        if not raced:
            raced.append(True)
            raced.extend(enqueue_due(DAILY))
        return marks

    monkeypatch.setattr(ScheduleMark.objects, "in_bulk", read_while_another_enqueues)
    assert enqueue_due(DAILY) == []
    assert (len(raced), Job.objects.count()) == (2, 1)


@pytest.mark.django_db
def test_what_is_on_the_schedule_is_run_by_the_loop(clock, job_that):
    name = job_that(lambda: "swept", daily_at=HALF_PAST_TWO)
    assert registry.schedule() == {name: HALF_PAST_TWO}
    assert run_what_is_due(Event()) == 0
    clock.shift(timedelta(days=1))
    assert run_what_is_due(Event()) == 1
    assert Job.objects.get().result == "swept"


@pytest.mark.parametrize(
    ("moment", "due", "then"),
    [
        ("2026-03-28 01:29", HALF_PAST_TWO, "2026-03-28 01:30"),
        ("2026-03-28 01:30", HALF_PAST_TWO, "2026-03-29 01:30"),  # 02:30 is skipped, and 03:30 stands for it
        ("2026-10-25 00:30", HALF_PAST_TWO, "2026-10-26 01:30"),  # 02:30 comes twice, and the first one counts
        ("2026-06-01 12:09", TEN_MINUTES, "2026-06-01 12:10"),
        ("2026-06-01 12:10", TEN_MINUTES, "2026-06-01 12:20"),
    ],
)
def test_the_next_time_is_the_first_that_comes_after(moment: str, due: time | timedelta, then: str, settings):
    settings.BREWERY_TIME_ZONE = "Europe/Berlin"
    assert next_due(due, utc(moment)) == utc(then)
    assert latest_due(due, utc(then)) == utc(then)


@pytest.mark.django_db
def test_what_is_due_every_so_often_is_enqueued_once_an_interval_and_never_behind_itself(clock):
    often = {"look round": TEN_MINUTES}
    enqueue_due(often)
    clock.shift(timedelta(minutes=9, seconds=59))
    assert enqueue_due(often) == []
    clock.shift(timedelta(seconds=1))
    assert names(enqueue_due(often)) == ["look round"]
    clock.shift(timedelta(hours=3))
    assert enqueue_due(often) == []
    Job.objects.update(state=Job.State.DONE, finished_at=now())
    assert names(enqueue_due(often)) == ["look round"]
    assert enqueue_due(often) == []


def test_a_job_is_due_daily_or_every_so_often_and_not_both():
    with pytest.raises(ValueError, match="either daily or every so often"):
        registry.job("both", daily_at=HALF_PAST_TWO, every=TEN_MINUTES)
