"""`manage.py demo` loads a folder of records, makes sign-ins, and says where to look."""

import io
import os
import socket
import stat
import sys

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from brewery.kernel.access import Role
from brewery.kernel.models import User
from inventory.models import Alert
from tests.production.records.papers import papers, write
from tests.production.records.snapshot import rows_written
from traceability.management.commands import demo

pytestmark = pytest.mark.django_db


@pytest.fixture
def records(tmp_path, settings):
    """A small brewery's papers, and an installation's folder of its own."""
    settings.DATA_DIR = tmp_path
    return write(tmp_path / "papers", papers())


def run(records, *arguments: str) -> str:
    out = io.StringIO()
    call_command("demo", "--records", str(records), "--lot", "KEG-1", *arguments, stdout=out, stderr=out)
    return out.getvalue()


def password_in(said: str) -> str:
    return said.rpartition("Password of them all: ")[2].split()[0]


def test_it_loads_checks_traces_and_says_where_to_open(records):
    said = run(records, "--no-serve", "--port", "8123")
    assert "82 records: 82 written" in said
    assert "The ledger agrees with its postings." in said
    assert "KEG-1" in said
    assert "http://localhost:8123" in said
    assert Alert.objects.open().exists(), "what there is to do is found before anybody signs in"


def test_somebody_of_every_role_can_sign_in_with_the_password_that_it_prints(records):
    password = password_in(run(records, "--no-serve"))
    for role in Role:
        person = User.objects.get(username=role.value)
        assert person.check_password(password)
        assert {group.name for group in person.groups.all()} == {role.value}


def test_the_sign_in_page_takes_it(records):
    password = password_in(run(records, "--no-serve"))
    answer = Client().post("/sign-in/", {"username": "quality", "password": password})
    assert answer.status_code == 302


def test_a_second_run_changes_nothing_and_prints_the_same_password(records):
    password = password_in(run(records, "--no-serve"))
    before = rows_written()
    said = run(records, "--no-serve")
    assert "82 records: 0 written, 82 already there" in said
    assert password_in(said) == password
    assert rows_written() == before


def test_the_password_is_this_installation_s_own_and_its_owner_s_alone(records, settings):
    password = password_in(run(records, "--no-serve"))
    file = settings.DATA_DIR / "demo-password"
    assert file.read_text() == password + "\n"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    file.unlink()
    other = password_in(run(records, "--no-serve"))
    assert other != password
    assert User.objects.get(username="quality").check_password(other)


def test_it_does_not_run_in_production(records, settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="does not run in production"):
        run(records, "--no-serve")
    assert not User.objects.exists()


def test_a_port_in_use_is_told_before_anything_is_loaded(records):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(CommandError, match=r"^Port \d+ cannot be used .*: choose another with --port\.$"):
            run(records, "--port", str(other.getsockname()[1]))
    assert not User.objects.exists()


@pytest.mark.parametrize("port", ["-1", "65536"])
def test_what_is_no_port_is_refused(records, port):
    with pytest.raises(CommandError, match="cannot be used"):
        run(records, f"--port={port}")


def test_refused_records_stop_it(records):
    (records / "people.csv").write_text("person,name,role\nada,Ada,baker\n")
    with pytest.raises(CommandError, match="Nothing was written: 1 problem"):
        run(records, "--no-serve")
    assert not User.objects.filter(username="quality").exists()


@pytest.mark.parametrize(("redis_url", "loops"), [("", 1), ("redis://127.0.0.1:6379/0", 0)])
def test_it_becomes_the_web_server_with_jobs_beside_it_unless_a_worker_runs_them(
    records, settings, monkeypatch, redis_url, loops
):
    settings.REDIS_URL = redis_url
    started, became = [], []
    monkeypatch.setattr(demo, "start_embedded_jobs", lambda: started.append("loop"))
    monkeypatch.setattr(demo.connections, "close_all", lambda: None)
    monkeypatch.setattr(os, "execv", lambda program, arguments: became.append(arguments))
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    run(records, "--port", str(port))
    assert len(started) == loops
    assert became[0][:4] == [sys.executable, "-m", "gunicorn", "brewery.project.wsgi"]
    assert f"--bind=127.0.0.1:{port}" in became[0]
