"""Requests nobody thought of, made from the OpenAPI description: none may fall over or answer what is not described.

What names something is given a choice of codes that are on record, so that many requests reach the services.
"""

import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
import yaml
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, settings
from knox.models import AuthToken
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from brewery.project.wsgi import application
from tests.api.chain import moment
from tests.brewhouse import Brewhouse
from tests.standing import built_once

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
SEEDED = settings(
    derandomize=True,
    database=None,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.filter_too_much],
)
PLACES = ["STORE", "COLD", "SILO1", "FV1", "FV2", "BT1", "BRINK1", "LAB", "B2", "customer:INN", "transformed"]
TANKS = ["FV1", "FV2", "BT1", "STORE"]
ON_RECORD: dict[str, list[Any]] = {
    "lot": ["M1", "H1", "H2", "Y1", "Y2", "A1", "K1", "D1", "BB1", "KEG1", "W1"],
    "location": PLACES,
    "from_location": PLACES,
    "to_location": PLACES,
    "laboratory": ["LAB", "STORE"],
    "vessel": TANKS,
    "from_vessel": TANKS,
    "to_vessel": TANKS,
    "material": ["PILS", "SAAZ", "YEAST", "KEG50", "LAGER"],
    "wort_material": ["WORT", "LAGER"],
    "supplier": ["MALTINGS", "INN"],
    "customer": ["INN", "MALTINGS"],
    "brew": ["B1", "B2"],
    "run": ["R1", "R2"],
    "into": ["B2", "R2", "B1"],
    "out_of": ["B2", "R2", "B1"],
    "quantity": ["1", "0.5", "10", "1e3", "4000000000"],
    "beer": ["LAGER", "WORT"],
    "code": ["N3", "FV1"],
    "happened_at": [moment(400), moment(5), "2199-01-01T00:00:00Z"],
    "started_at": [moment(400)],
    "count": [1, 7, 1_000_000_000],
    "unit": ["kg", "L"],
    "reason": ["as it was", ""],
    "override_reason": ["", "tasted, and good"],
    "contents_code": ["N1", "M1"],
    **{key: ["N2", "KEG1"] for key in ("lot_code", "wort_code", "yeast_code", "packaged_code")},
}


def with_known_codes(described: Any) -> Any:
    """Return the description with a choice of what is on record for each property that names something."""
    if isinstance(described, list):
        return [with_known_codes(part) for part in described]
    if not isinstance(described, dict):
        return described
    known = {name: with_known_codes(part) for name, part in described.items()}
    for name, part in known.get("properties", {}).items():
        if name in ON_RECORD and (name == "unit" or {"string", "integer"} & types_of(part)):
            known["properties"][name] = {"enum": ON_RECORD[name]}
    return known


def types_of(part: Any) -> set[str]:
    """Return what a property may be: one type, or several where it may be null."""
    told = part.get("type", [])
    return {told} if isinstance(told, str) else set(told)


description = yaml.safe_load((Path(__file__).parent.parent / "openapi.yaml").read_text())
for body, form in description["components"]["schemas"].items():
    if body.endswith("Request"):
        description["components"]["schemas"][body] = with_known_codes(form)
anything = schemathesis.openapi.from_dict(description)
well_formed = schemathesis.openapi.from_dict(description)
well_formed.config.generation.update(modes=[GenerationMode.POSITIVE])
anything.app = well_formed.app = application


@pytest.fixture(autouse=True)
def connection_stays_open() -> Iterator[None]:
    """The application does not close the connection after each request, on which the test's own transaction is.

    Django's test client does the same; here the requests come through the real entry.
    """
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@built_once
def headers(brewhouse: Brewhouse) -> dict[str, str]:
    """Return the headers of somebody who may do everything, in a brewhouse with a whole chain on record."""
    brewhouse.whole_chain()
    brewhouse.draw(brewhouse.start_brew("B2", hours=350), ("H1", "STORE", "1 kg"), hours=350)
    brewhouse.draw(brewhouse.start_run("R2", hours=350), ("K1", "STORE", "100 each"), hours=350)
    person = brewhouse.people["administration"]
    person.is_superuser = True
    person.save()
    _, token = AuthToken.objects.create(user=person)
    return {"Authorization": f"Token {token}"}


@anything.exclude(path_regex="/sessions/").parametrize()
@settings(SEEDED, max_examples=5)
def test_no_request_falls_over(case: Any, headers: dict[str, str]):
    send_and_check(case, headers)


@well_formed.include(method="POST").exclude(path_regex="/sessions/").parametrize()
@settings(SEEDED, max_examples=15)
def test_no_well_formed_write_falls_over(case: Any, headers: dict[str, str]):
    send_and_check(case, headers)


def send_and_check(case: Any, headers: dict[str, str]) -> None:
    """Send one made-up request under a key of its own, and hold the answer to the description."""
    if case.method == "POST":
        case.headers = {**case.headers, "Idempotency-Key": str(uuid.uuid4())}
    response = case.call(headers=headers)
    case.validate_response(response, checks=CHECKS)
