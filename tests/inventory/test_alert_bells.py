"""Bells: a write that may open an alert has it looked for soon, once for all that come together."""

from datetime import timedelta
from threading import Event

import pytest
import time_machine
from django.db import transaction

from brewery.kernel.clock import now
from brewery.kernel.jobs.loop import run_what_is_due
from brewery.kernel.models import Job
from brewery.kernel.services.jobs import enqueue_soon
from inventory.models import Alert
from inventory.services import alert_bells
from inventory.services.alert_bells import WITHIN, Bell, ring_for_alerts
from inventory.services.alerts import kinds_after
from tests.brewhouse import Brewhouse


@pytest.fixture(autouse=True)
def without_redis(settings) -> None:
    settings.REDIS_URL = ""


def looks() -> list[Job]:
    return list(Job.objects.filter(name=alert_bells.LOOK, arguments={"bell": "disposition"}).order_by("pk"))


def test_a_rejected_lot_has_its_alert_within_seconds_and_loses_it_so_too(brewhouse: Brewhouse):
    brewhouse.stock_up()
    for disposition, is_open in (("rejected", True), ("released", False)):
        brewhouse.decide("M1", disposition, hours=5 + (not is_open), reason="mould")
        with time_machine.travel(now() + WITHIN, tick=False):
            for job in Job.objects.exclude(name=alert_bells.LOOK):
                job.delete()
            run_what_is_due(Event())
        assert Alert.objects.open().filter(kind="rejected_here").exists() is is_open
        Job.objects.all().delete()


@pytest.mark.django_db
def test_many_writes_that_come_together_are_one_look_and_a_later_one_is_another():
    start = now()
    with time_machine.travel(start, tick=False) as clock:
        for _ in range(20):
            ring_for_alerts(Bell.DISPOSITION)
        ring_for_alerts(Bell.PLAN)
        assert [job.run_after for job in looks()] == [start + WITHIN]
        clock.shift(WITHIN * 0.75)
        ring_for_alerts(Bell.DISPOSITION)
        assert len(looks()) == 2, "the first may begin before this one is committed"


@pytest.mark.django_db
def test_what_is_taken_back_rings_no_bell():
    with transaction.atomic():
        ring_for_alerts(Bell.ORDER)
        transaction.set_rollback(True)
    assert not Job.objects.exists()


@pytest.mark.django_db
def test_who_commits_after_the_look_has_begun_asks_again(django_capture_on_commit_callbacks):
    start = now()
    with time_machine.travel(start, tick=False) as clock:
        with django_capture_on_commit_callbacks() as callbacks:
            enqueue_soon(alert_bells.LOOK, {"bell": "disposition"}, WITHIN)
        (job,) = looks()
        for callback in callbacks:
            callback()
        assert looks() == [job]
        clock.shift(WITHIN)
        Job.objects.filter(pk=job.pk).update(state=Job.State.DONE, finished_at=now())
        for callback in callbacks:
            callback()
        assert [one.run_after for one in looks()] == [start + WITHIN, start + WITHIN]


def test_every_bell_is_followed_by_some_kind():
    assert {bell: kinds_after(bell) for bell in Bell if not kinds_after(bell)} == {}
    assert kinds_after(Bell.READING) == ["fermentation_stuck"]
    assert set(kinds_after(Bell.CLIMATE)) == {"out_of_climate", "logger_silent"}
    assert set(kinds_after(Bell.DUTY)) == {"duty_due", "duty_late_entry"}
    assert timedelta() < WITHIN < timedelta(seconds=10)
