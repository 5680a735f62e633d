"""docker-compose.yml holds together: what it names exists, what it needs is asked for, what it runs is pinned."""

import importlib
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from celery import Celery
from django.conf import settings
from django.core.management import get_commands

from brewery.project.environment import read_environment

FILE = Path(settings.BASE_DIR) / "docker-compose.yml"
TEXT = FILE.read_text()
SERVICES: dict[str, dict[str, Any]] = yaml.safe_load(TEXT)["services"]
OURS = {name: service for name, service in SERVICES.items() if "build" in service}
EXAMPLE = dict(
    line.split("=", 1)
    for line in (FILE.parent / ".env.example").read_text().splitlines()
    if line and not line.startswith("#")
)


class ReadingList(dict[str, str]):
    """Variables that remember who was asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[str] = set()

    def get(self, key: str, default: str = "") -> str:
        self.asked.add(key)
        return default


def filled_in(text: str) -> str:
    """Return `text` with its variables as a filled-in .env would give them."""
    values = {**EXAMPLE, "SECRET_KEY": "a1b2c3" * 10, "POSTGRES_PASSWORD": "letters1"}
    return re.sub(r"\$\{(\w+)[^}]*\}", lambda found: values[found[1]], text)


def test_the_file_keeps_to_the_compose_specification():
    command = [sys.executable, "-m", "check_jsonschema", "--builtin-schema", "vendor.compose-spec", str(FILE)]
    answer = subprocess.run(command, capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stdout + answer.stderr


def test_the_parts_of_a_production_installation_are_all_there():
    assert set(SERVICES) == {"web", "worker", "beat", "migrate", "postgres", "redis"}
    assert set(OURS) == {"web", "worker", "beat", "migrate"}


@pytest.mark.parametrize("name", SERVICES)
def test_each_service_waits_for_services_that_exist(name: str):
    assert set(SERVICES[name].get("depends_on", {})) <= set(SERVICES) - {name}


@pytest.mark.parametrize("name", SERVICES)
def test_each_service_can_be_asked_how_it_is(name: str):
    check = SERVICES[name]["healthcheck"]
    assert check["test"][0] in {"CMD", "CMD-SHELL"}
    assert {"interval", "timeout", "retries"} <= set(check)


@pytest.mark.parametrize("name", SERVICES)
def test_each_image_is_pinned(name: str):
    tag = SERVICES[name]["image"].partition(":")[2]
    assert re.match(r"\d+\.\d+", tag)


@pytest.mark.parametrize("volume", [v for s in SERVICES.values() for v in s.get("volumes", [])])
def test_each_volume_is_declared(volume: str):
    assert volume.partition(":")[0] in yaml.safe_load(TEXT)["volumes"]


def test_each_variable_has_its_line_in_the_example_and_each_line_its_use():
    used = set(re.findall(r"\$\{(\w+)", TEXT))
    assert used == set(EXAMPLE)


@pytest.mark.parametrize("name", OURS)
def test_each_process_gets_every_variable_that_is_read_and_starts_with_them(name: str):
    variables = {key: filled_in(value) for key, value in OURS[name]["environment"].items()}
    asked = ReadingList()
    read_environment(asked, base_dir=FILE.parent)
    assert set(variables) == asked.asked
    found = read_environment(variables, base_dir=FILE.parent)
    assert found.production
    assert found.database["HOST"] in SERVICES
    assert found.redis_url.split("/")[2].partition(":")[0] in SERVICES
    assert "localhost" in found.allowed_hosts, "the web process asks itself how it is"


@pytest.mark.parametrize("name", OURS)
def test_each_command_exists(name: str):
    program, *arguments = OURS[name]["command"]
    match program:
        case "python":
            assert (FILE.parent / arguments[0]).is_file()
            assert arguments[1] in get_commands()
        case "gunicorn":
            assert callable(importlib.import_module(arguments[0]).application)
        case "celery":
            assert isinstance(importlib.import_module(arguments[1]).celery_app, Celery)
            assert arguments[2] in {"worker", "beat"}
        case _:
            pytest.fail(f"{program} is not a program of ours")


def test_the_worker_does_not_ring_its_own_bells():
    assert not {"-B", "--beat"} & set(OURS["worker"]["command"])
    assert [name for name, service in OURS.items() if "beat" in service["command"]] == ["beat"]


def test_the_image_is_built_from_the_lock():
    recipe = (FILE.parent / OURS["web"]["build"]["dockerfile"]).read_text()
    assert "pip install --no-cache-dir --require-hashes -r requirements.lock" in recipe
