"""Worker and beat as processes of their own, on a real Redis and PostgreSQL: nothing is lost when one is killed."""

import os
import signal
from pathlib import Path

import pytest
import redis
from django.contrib.auth.models import Group

from brewery.kernel.models import Job
from brewery.kernel.services.jobs import enqueue
from tests.kernel.jobs.waiting import GIVE_UP_AFTER_S, wait_until
from tests.kernel.jobs.workshop.names import GO_ON, HERE
from tests.processes import REDIS_URL, WORKER, Start, beat

QUICK = 30
pytestmark = [pytest.mark.redis, pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def test_nothing_is_lost_and_nothing_doubled_when_a_worker_is_killed(start: Start, prefix: str, tmp_path: Path):
    paused = enqueue("tests.pause_in_the_middle", {"number": 1})
    quick = [enqueue("tests.found_a_guild", {"number": number}) for number in range(QUICK)]
    start(*beat(tmp_path))
    worker = start(*WORKER)
    with redis.Redis.from_url(REDIS_URL, socket_timeout=None) as bell:
        assert bell.blpop([f"{prefix}{HERE}"], timeout=int(GIVE_UP_AFTER_S))
        os.killpg(worker.pid, signal.SIGKILL)
        worker.wait()
        assert Job.objects.get(pk=paused.pk).state == Job.State.RUNNING, "it was killed in the middle"
        start(*WORKER)
        assert bell.blpop([f"{prefix}{HERE}"], timeout=int(GIVE_UP_AFTER_S))
        bell.rpush(f"{prefix}{GO_ON}", "now")
        wait_until(lambda: not Job.objects.exclude(state=Job.State.DONE).exists())
    paused.refresh_from_db()
    assert paused.attempts == 2
    founded = Group.objects.filter(name__startswith="guild ").values_list("name", flat=True)
    assert sorted(founded) == sorted(f"guild {number}" for number in range(len(quick)))
    assert Group.objects.get(name__startswith="paused guild").name == paused.result
