"""`manage.py test` is pytest: it takes pytest's arguments and leaves with pytest's exit code."""

import os
import subprocess
import sys

import pytest

import manage
from brewery.kernel.management.commands import test


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["--version"], 0, "pytest "),
        (["tests/project/test_lock.py", "-q", "-k", "hashed", "-p", "no:cacheprovider"], 0, "1 passed"),
        (["tests/project/test_lock.py", "-q", "-k", "nothing_of_this_name"], 5, "deselected"),
        (["tests/no_such_folder"], 4, "file or directory not found"),
    ],
)
def test_what_follows_goes_to_pytest_and_its_answer_comes_back(arguments: list[str], code: int, said: str):
    environment = {"PATH": os.environ["PATH"], "GRAINWARD_NO_BOOTSTRAP": "1"}
    command = [sys.executable, str(manage.HERE / "manage.py"), "test", *arguments]
    answer = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=False)
    assert answer.returncode == code
    assert said in answer.stdout + answer.stderr


@pytest.mark.parametrize(
    ("typed", "handed_on"), [([], list(test.WHOLE_SUITE)), (["tests/kernel", "-x"], ["tests/kernel", "-x"])]
)
def test_the_whole_suite_runs_on_every_core_and_a_part_of_it_as_asked(
    typed: list[str], handed_on: list[str], monkeypatch: pytest.MonkeyPatch
):
    started: list[list[str]] = []

    def run(command: list[str], **options: object) -> subprocess.CompletedProcess[bytes]:
        started.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(subprocess, "run", run)
    with pytest.raises(SystemExit) as left:
        test.Command().run_from_argv(["manage.py", "test", *typed])
    assert left.value.code == 0
    assert started == [[sys.executable, "-m", "pytest", *handed_on]]
