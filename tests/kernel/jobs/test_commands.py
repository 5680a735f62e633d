"""Running jobs without a broker: processes of their own on one SQLite file, started and stopped as people do."""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as ours
from django.core.management import call_command

from brewery.kernel.models import Job
from brewery.kernel.services import jobs
from brewery.kernel.services.embedded_jobs import start_embedded_jobs
from tests.kernel.jobs.waiting import wait_until

MANY = 40
MANAGE = f"{ours.BASE_DIR}/manage.py"
SETTINGS = "tests.kernel.jobs.workshop.settings"
ENQUEUE = f"""
import django; django.setup()
from brewery.kernel.services.jobs import enqueue
for number in range({MANY}): enqueue("tests.found_a_guild", {{"number": number}})
"""


@pytest.fixture(scope="module")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated SQLite file to copy from."""
    file = tmp_path_factory.mktemp("migrated") / "brewery.sqlite3"
    variables = {**os.environ, "DATABASE_URL": f"sqlite:///{file}", "DJANGO_SETTINGS_MODULE": SETTINGS}
    subprocess.run([sys.executable, MANAGE, "migrate", "-v", "0"], env=variables, check=True)
    return file


@pytest.fixture
def brewery_file(migrated_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A migrated SQLite file, and an environment in which commands use it and know the jobs of the workshop."""
    file = Path(shutil.copy(migrated_file, tmp_path))
    monkeypatch.setenv("DATABASE_URL", f"sqlite:///{file}")
    monkeypatch.setenv("DJANGO_SETTINGS_MODULE", SETTINGS)
    monkeypatch.setenv("PYTHONPATH", str(ours.BASE_DIR))
    monkeypatch.delenv("REDIS_URL", raising=False)
    return file


def command(*arguments: str, **options: Any) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, MANAGE, *arguments], text=True, **options)


def ask(file: Path, question: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(file, timeout=20)) as connection:
        return connection.execute(question).fetchall()


def enqueue_many() -> None:
    subprocess.run([sys.executable, "-c", ENQUEUE], check=True)


def each_guild_was_founded_once(file: Path) -> bool:
    founded = ask(file, "SELECT name, COUNT(*) FROM auth_group WHERE name LIKE 'guild %' GROUP BY name")
    return len(founded) == MANY and all(times == 1 for _, times in founded)


def test_two_runners_side_by_side_do_each_job_once(brewery_file: Path):
    enqueue_many()
    runners = [command("runjobs", "--once", stdout=subprocess.PIPE) for _ in range(2)]
    said = [runner.communicate()[0] for runner in runners]
    assert [runner.returncode for runner in runners] == [0, 0], said
    assert ask(brewery_file, "SELECT state, attempts, COUNT(*) FROM kernel_job GROUP BY 1, 2") == [("done", 1, MANY)]
    assert each_guild_was_founded_once(brewery_file)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_the_runner_works_until_it_is_told_to_stop_and_then_ends_well(brewery_file: Path, number: int):
    enqueue_many()
    with command("runjobs") as runner:
        wait_until(lambda: ask(brewery_file, "SELECT 1 FROM kernel_job WHERE state = 'done'"))
        runner.send_signal(number)
    assert runner.returncode == 0
    assert ask(brewery_file, "SELECT COUNT(*) FROM kernel_job WHERE state = 'running'") == [(0,)]


def test_embedded_jobs_run_until_their_parent_is_done_with_them(brewery_file: Path):
    enqueue_many()
    with start_embedded_jobs() as runner:
        wait_until(lambda: each_guild_was_founded_once(brewery_file))
    assert runner.returncode == 0


BECOME_A_SERVER = """
import os, sys
from brewery.kernel.services.embedded_jobs import start_embedded_jobs
print(start_embedded_jobs().pid, flush=True)
os.execv(sys.executable, [sys.executable, "-c", "import signal; signal.pause()"])
"""


def test_embedded_jobs_stay_when_their_parent_becomes_a_server_and_end_when_it_is_killed(brewery_file: Path):
    enqueue_many()
    with subprocess.Popen([sys.executable, "-c", BECOME_A_SERVER], stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        child = int(server.stdout.readline())
        wait_until(lambda: each_guild_was_founded_once(brewery_file))
        server.kill()
        wait_until(lambda: is_gone(child))


def is_gone(process: int) -> bool:
    """Return whether the process has ended, whether or not anybody has asked for its exit code."""
    try:
        os.kill(process, 0)
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except (ProcessLookupError, FileNotFoundError):
        return True


@pytest.mark.django_db
def test_recent_jobs_are_listed_with_their_outcome(job_that):
    done, failed = jobs.enqueue(job_that(lambda: {"disagreements": 0})), jobs.enqueue("unheard_of")
    call_command("runjobs", "--once", stdout=StringIO())
    said = StringIO()
    call_command("jobs", stdout=said)
    newest, oldest = said.getvalue().splitlines()
    assert newest.split()[:4] == [str(failed.pk), "unheard_of", "waiting", "1"]
    assert newest.endswith("UnknownJob: There is no job called 'unheard_of'.")
    assert oldest.split()[:4] == [str(done.pk), done.name, "done", "1"]
    assert oldest.endswith('{"disagreements": 0}')
    call_command("jobs", "--state", Job.State.FAILED, stdout=(none := StringIO()))
    assert none.getvalue() == ""
