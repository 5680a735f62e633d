"""Worker and beat as processes of their own, on a real Redis and PostgreSQL: nothing is lost when one is killed."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from uuid import uuid4

import pytest
import redis
from django.conf import settings as ours
from django.contrib.auth.models import Group
from django.db import connection

from brewery.kernel.models import Job
from brewery.kernel.services.jobs import enqueue
from tests.kernel.jobs.waiting import GIVE_UP_AFTER_S, wait_until
from tests.kernel.jobs.workshop.names import GO_ON, HERE

QUICK = 30
REDIS_URL = os.environ.get("REDIS_URL", "")
WORKER = ("worker", "--concurrency=2", "--loglevel=WARNING", "--without-gossip", "--without-mingle")
pytestmark = [pytest.mark.redis, pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

Start = Callable[..., subprocess.Popen[bytes]]


@pytest.fixture
def prefix() -> Iterator[str]:
    """What every key of this test begins with in Redis; nothing of it is left there."""
    assert REDIS_URL, "This test needs a Redis: set REDIS_URL."
    name = f"grainward-test-{uuid4()}:"
    yield name
    with redis.Redis.from_url(REDIS_URL, socket_timeout=None) as bell:
        if keys := list(bell.scan_iter(f"{name}*")):
            bell.delete(*keys)


@pytest.fixture
def start(prefix: str, tmp_path: Path) -> Iterator[Start]:
    """Start Celery with these arguments, in a process group of its own, on the test's database."""
    assert connection.vendor == "postgresql", "Other processes see the test's database on PostgreSQL only."
    database = connection.settings_dict
    person = f"{database['USER']}:{database['PASSWORD']}@{database['HOST']}:{database['PORT']}"
    variables = {
        **os.environ,
        "DATABASE_URL": f"postgres://{person}/{database['NAME']}",
        "DJANGO_SETTINGS_MODULE": "tests.kernel.jobs.workshop.settings",
        "PYTHONPATH": str(ours.BASE_DIR),
        "TEST_KEY_PREFIX": prefix,
    }
    with ExitStack() as started:

        def start_one(*arguments: str) -> subprocess.Popen[bytes]:
            command = [sys.executable, "-m", "celery", "-A", "brewery.project", *arguments]
            process = subprocess.Popen(command, cwd=tmp_path, env=variables, start_new_session=True)
            started.callback(process.wait, GIVE_UP_AFTER_S)
            started.callback(process.terminate)
            return process

        yield start_one


def test_nothing_is_lost_and_nothing_doubled_when_a_worker_is_killed(start: Start, prefix: str, tmp_path: Path):
    paused = enqueue("tests.pause_in_the_middle", {"number": 1})
    quick = [enqueue("tests.found_a_guild", {"number": number}) for number in range(QUICK)]
    start("beat", "--loglevel=WARNING", f"--schedule={tmp_path}/beat", f"--pidfile={tmp_path}/beat.pid")
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
