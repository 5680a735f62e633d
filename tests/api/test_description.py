"""The API's description of itself: OpenAPI 3.1, as it was last reviewed, and complete."""

from pathlib import Path
from typing import Any

import pytest
import yaml
from django.core.management import call_command

from tests.api.chain import CHAIN
from tests.api.client import Api

REVIEWED = Path(__file__).parent.parent / "openapi.yaml"


@pytest.fixture(scope="module")
def description() -> dict[str, Any]:
    """Return the description that was reviewed."""
    read: dict[str, Any] = yaml.safe_load(REVIEWED.read_text())
    return read


def test_the_description_is_valid_and_as_it_was_reviewed(tmp_path: Path):
    fresh = tmp_path / "openapi.yaml"
    call_command("spectacular", "--validate", "--fail-on-warn", file=str(fresh))
    renew = "read what changed, then: .venv/bin/python manage.py spectacular --file tests/openapi.yaml"
    assert fresh.read_text() == REVIEWED.read_text(), renew


def test_the_service_hands_it_out(api: Api, description: dict[str, Any]):
    answer = api.client(None).get("/api/v1/schema/", headers={"Accept": "application/json"})
    assert answer.status_code == 200
    assert answer.json()["openapi"].startswith("3.1.")
    assert answer.json()["paths"].keys() == description["paths"].keys()


def test_every_write_needs_a_key_and_tells_its_problems(description: dict[str, Any]):
    for address in {address for address, _, _ in CHAIN}:
        write = description["paths"][f"/api/v1/{address}"]["post"]
        assert [(one["name"], one["required"]) for one in write["parameters"]] == [("Idempotency-Key", True)], address
        assert {"201", "400", "401", "403", "409", "413", "415", "422", "503"} <= write["responses"].keys()


def test_every_problem_is_described_as_problem_details(description: dict[str, Any]):
    for operations in description["paths"].values():
        for operation in operations.values():
            for status, response in operation["responses"].items():
                if status >= "400":
                    assert list(response["content"]) == ["application/problem+json"]


def test_every_operation_says_what_it_is(description: dict[str, Any]):
    silent = [
        operation["operationId"]
        for operations in description["paths"].values()
        for operation in operations.values()
        if not operation.get("description")
    ]
    assert silent == []
