"""The first steps of manage.py, before any package is there: when to install, what to refuse, what to say."""

import os
import ssl
import subprocess
import sys
import threading
from pathlib import Path

import pytest

import manage


@pytest.mark.parametrize(
    ("prefix", "variables", "wanted"),
    [
        ("/usr", {}, True),
        ("/usr", {"GRAINWARD_NO_BOOTSTRAP": "1"}, False),
        ("/usr", {"GRAINWARD_NO_BOOTSTRAP": ""}, True),
        ("/home/someone/venv", {}, False),
    ],
)
def test_the_environment_is_made_only_outside_of_one(prefix: str, variables: dict[str, str], wanted: bool):
    assert manage.needs_bootstrap(prefix, "/usr", variables) is wanted


@pytest.mark.parametrize("version", [(3, 9), (3, 10), (3, 13), (4, 0)])
def test_a_python_that_the_lock_was_not_made_for_is_refused_in_one_sentence(version: tuple[int, int]):
    with pytest.raises(SystemExit) as refusal:
        manage.refuse_other_pythons(version)
    sentence = str(refusal.value)
    assert "Python 3.11 or 3.12" in sentence
    assert ".".join(map(str, version)) in sentence
    assert "\n" not in sentence


@pytest.mark.parametrize("version", [(3, 11), (3, 12)])
def test_the_pythons_of_the_lock_are_taken(version: tuple[int, int]):
    manage.refuse_other_pythons(version)


def test_the_pythons_taken_are_those_that_the_project_declares():
    declared = (manage.HERE / "pyproject.toml").read_text()
    oldest, too_new = (".".join(map(str, version)) for version in (manage.OLDEST, manage.TOO_NEW))
    assert f'requires-python = ">={oldest},<{too_new}"' in declared


def test_an_installation_is_current_while_the_lock_is_the_one_it_was_made_from(tmp_path: Path):
    lock, installed = tmp_path / "lock", tmp_path / "installed"
    lock.write_text("django==5.2.19\n")
    assert not manage.is_current(Path(sys.executable), lock, installed)
    installed.write_bytes(lock.read_bytes())
    assert manage.is_current(Path(sys.executable), lock, installed)
    assert not manage.is_current(tmp_path / "python-gone", lock, installed)
    lock.write_text("django==5.2.20\n")
    assert not manage.is_current(Path(sys.executable), lock, installed)


def test_a_second_start_waits_for_the_first_and_then_has_nothing_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    lock, installed = tmp_path / "lock", tmp_path / "installed"
    lock.write_text("django==5.2.19\n")
    monkeypatch.setattr(manage, "TOOLS", tmp_path / "tools")
    monkeypatch.setattr(manage, "LOCK", lock)
    monkeypatch.setattr(manage, "INSTALLED", installed)
    monkeypatch.setattr(manage, "VENV_PYTHON", Path(sys.executable))
    installs: list[str] = []
    both_started = threading.Barrier(2)

    def install() -> None:
        installs.append(threading.current_thread().name)
        installed.write_bytes(lock.read_bytes())

    def start() -> None:
        both_started.wait(timeout=10)
        manage.bring_up_to_date()

    monkeypatch.setattr(manage, "install", install)
    starts = [threading.Thread(target=start) for _ in range(2)]
    for thread in starts:
        thread.start()
    for thread in starts:
        thread.join(timeout=10)
    assert len(installs) == 1


def test_the_machines_own_certificates_are_used_where_it_keeps_any(tmp_path: Path):
    def paths(cafile: str | None, capath: Path | None) -> ssl.DefaultVerifyPaths:
        return ssl.DefaultVerifyPaths(cafile, capath, "", "", "", "")

    assert not manage.system_knows_certificates(paths(None, None))
    assert not manage.system_knows_certificates(paths(None, tmp_path))
    (tmp_path / "authority.pem").touch()
    assert manage.system_knows_certificates(paths(None, tmp_path))
    assert manage.system_knows_certificates(paths("/etc/ssl/cert.pem", None))


def test_a_wrong_setting_ends_a_command_with_its_sentence_and_no_traceback():
    answer = run_manage("check", GRAINWARD_ENV="staging")
    assert answer.returncode == 1
    assert answer.stderr == (
        "The environment variable GRAINWARD_ENV is 'staging'; set it to development or production.\n"
    )


def test_a_right_setting_lets_the_command_run():
    answer = run_manage("check", GRAINWARD_ENV="development")
    assert (answer.returncode, answer.stderr) == (0, "")


def run_manage(*arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
    environment = {"PATH": os.environ["PATH"], "GRAINWARD_NO_BOOTSTRAP": "1", **variables}
    command = [sys.executable, str(manage.HERE / "manage.py"), *arguments]
    return subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=False)
