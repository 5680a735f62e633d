"""Worker and beat as processes of their own, on the database of the test and a real Redis."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from uuid import uuid4

import pytest
import redis
from django.conf import settings as ours
from django.db import connection

from tests.kernel.jobs.waiting import GIVE_UP_AFTER_S

REDIS_URL = os.environ.get("REDIS_URL", "")
WORKER = ("worker", "--concurrency=2", "--loglevel=WARNING", "--without-gossip", "--without-mingle")

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
    """Start Celery with these arguments and variables, in a process group of its own, on the test's database."""
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

        def start_one(*arguments: str, **more: str) -> subprocess.Popen[bytes]:
            command = [sys.executable, "-m", "celery", "-A", "brewery.project", *arguments]
            process = subprocess.Popen(command, cwd=tmp_path, env={**variables, **more}, start_new_session=True)
            started.callback(process.wait, GIVE_UP_AFTER_S)
            started.callback(process.terminate)
            return process

        yield start_one


def beat(folder: Path) -> tuple[str, ...]:
    """Return the arguments that start beat with its own files in a folder."""
    return "beat", "--loglevel=WARNING", f"--schedule={folder}/beat", f"--pidfile={folder}/beat.pid"
