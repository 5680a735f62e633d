"""Every refusal is problem details (RFC 9457), with the facts and what to do next."""

import uuid
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, OperationalError
from django.http import Http404
from django.test import Client, RequestFactory
from rest_framework import exceptions
from rest_framework.test import APIClient

from brewery.kernel.api.problems import problem_handler
from brewery.project import faults
from brewery.science.units import UnitError
from inventory.models import Balance
from tests.api.chain import DELIVERY, MOVE, delivered
from tests.api.client import Api, fields_of, problem_of


def handled(error: Exception) -> Any:
    """Return the problem that the handler makes of an error."""
    answer = problem_handler(error, {"request": None})
    assert answer is not None
    assert answer.content_type == "application/problem+json"
    return answer


def test_a_refusal_of_the_record_carries_its_code_its_facts_and_advice(api: Api):
    api.house.stock_up()
    problem = problem_of(api.post("moves/", MOVE | {"quantity": "500"}, "receiving"), 409)
    assert problem == {
        "type": "/problems/not_enough_there",
        "title": "There is not that much there.",
        "status": 409,
        "detail": "Dry store holds 20 kg of lot H1; 500 kg was asked for. "
        "Count the place, or take the rest from another lot.",
        "code": "not_enough_there",
        "errors": [
            {
                "field": "quantity",
                "code": "not_enough_there",
                "detail": "Dry store holds 20 kg of lot H1; 500 kg was asked for. "
                "Count the place, or take the rest from another lot.",
            }
        ],
    }


def test_every_fault_names_its_field_shows_the_value_and_says_what_to_do(api: Api):
    lines = [
        delivered("PILS", "M1", "NOWHERE", "1"),
        delivered("SAAZ", "H1", "STORE", "12,5"),
        delivered("SAAZ", "H2", "STORE", "1", "bushel"),
        delivered("SAAZ", "H3", "STORE", "1", "L"),
    ]
    problem = problem_of(api.post("deliveries/", DELIVERY | {"lines": lines, "supplier": "INN"}, "receiving"), 400)
    assert problem["code"] == "invalid_input"
    assert problem["errors"] == [
        {
            "field": "supplier",
            "code": "other_role",
            "detail": 'supplier: "INN" is not accepted. This is a customer; give a supplier.',
            "value": "INN",
        },
        {
            "field": "lines[0].location",
            "code": "unknown_code",
            "detail": 'lines[0].location: "NOWHERE" is not accepted. '
            "There is no location of this code: look it up in the list.",
            "value": "NOWHERE",
        },
        {
            "field": "lines[1].quantity",
            "code": "not_a_number",
            "detail": 'lines[1].quantity: "12,5" is not accepted. '
            "'12,5' is not a quantity; write a plain decimal such as 12.5, as text.",
            "value": "12,5",
        },
        {
            "field": "lines[2].unit",
            "code": "invalid_choice",
            "detail": 'lines[2].unit: "bushel" is not accepted. '
            "Write one of: kg, g, lb, oz, t, L, mL, hL, US gal, US bbl, imp gal, imp bbl, each.",
            "value": "bushel",
        },
        {
            "field": "lines[3].unit",
            "code": "other_unit",
            "detail": 'lines[3].unit: "L" is not accepted. This is counted in kg: write kg, g, lb, oz, t.',
            "value": "L",
        },
    ]


def test_a_missing_field_is_named_without_a_value(api: Api):
    problem = problem_of(api.post("brews/", {"code": "B1", "beer": "LAGER"}, "brewing"), 400)
    assert problem["errors"] == [
        {"field": "started_at", "code": "required", "detail": "started_at: This field is required."}
    ]


def test_a_filter_that_is_none_is_refused_with_those_there_are(api: Api):
    problem = problem_of(api.get("lots/", dispostion="released"), 400)
    assert fields_of(problem) == ["dispostion"]
    assert "disposition" in problem["detail"]


@pytest.mark.parametrize(
    ("method", "address", "status", "code"),
    [
        ("GET", "lots/NOPE/", 404, "not_found"),
        ("GET", "lots/%00/", 404, "not_found"),
        ("GET", "events/99999999999999999999999/", 404, "not_found"),
        ("GET", "lots", 404, "not_found"),
        ("GET", "nothing/", 404, "not_found"),
        ("DELETE", "lots/", 405, "method_not_allowed"),
        ("GET", "moves/", 405, "method_not_allowed"),
        ("PATCH", "events/1/", 405, "method_not_allowed"),
        ("OPTIONS", "lots/", 405, "method_not_allowed"),
    ],
)
def test_what_is_not_there_is_a_problem_too(api: Api, method: str, address: str, status: int, code: str):
    problem = problem_of(api.client("auditor").generic(method, f"/api/v1/{address}"), status)
    assert problem["code"] == code


def test_an_address_without_its_slash_says_so(api: Api):
    assert "end with a slash" in problem_of(api.client(None).get("/api/v1/lots"), 404)["detail"]


def test_an_answer_in_another_form_is_not_to_be_had(api: Api):
    answer = api.client("auditor").get("/api/v1/lots/", headers={"Accept": "application/xml"})
    assert problem_of(answer, 406)["code"] == "not_acceptable"


def test_nobody_is_told_how_to_sign_in(api: Api):
    answer = api.get("lots/", None)
    assert "Get a token at /api/v1/sessions/" in problem_of(answer, 401)["detail"]
    assert answer["WWW-Authenticate"] == "Token"


@pytest.mark.parametrize(
    ("error", "status", "code"), [(Http404(), 404, "not_found"), (PermissionDenied(), 403, "permission_denied")]
)
def test_what_the_framework_raises_of_its_own_is_a_problem_too(error: Exception, status: int, code: str):
    answer = handled(error)
    assert (answer.status_code, answer.data["code"]) == (status, code)


def test_a_wait_is_told_in_seconds():
    answer = handled(exceptions.Throttled(wait=12.3))
    assert answer.status_code == 429
    assert answer["Retry-After"] == "13"


def test_a_unit_error_of_a_service_is_the_callers_to_put_right():
    answer = handled(UnitError("no_split", "5 cannot be split by [0]; give weights of 0 or more, not all 0."))
    assert (answer.status_code, answer.data["code"]) == (400, "no_split")


def test_a_rule_that_the_database_keeps_is_turned_to_words():
    answer = handled(IntegrityError("CHECK constraint failed: a_vessel_holds_one_lot"))
    assert (answer.status_code, answer.data["detail"]) == (409, "The database refuses: a vessel holds one lot.")


def test_a_busy_database_asks_for_the_same_request_again():
    answer = handled(OperationalError("database is locked"))
    assert (answer.status_code, answer["Retry-After"]) == (503, "1")
    assert "same Idempotency-Key" in answer.data["detail"]


def test_another_fault_of_the_database_is_ours_and_not_the_callers():
    assert problem_handler(OperationalError("no such column: lot.colour"), {"request": None}) is None


def test_a_rule_broken_behind_the_services_back_is_refused_by_the_database(api: Api, monkeypatch: pytest.MonkeyPatch):
    api.house.stock_up()
    monkeypatch.setattr("inventory.services.checks.refuse_more_than_is_there", lambda *_: None)
    monkeypatch.setattr("inventory.services.checks.refuse_more_than_was_there_then", lambda *_: None)
    problem = problem_of(api.post("moves/", MOVE | {"quantity": "500"}, "receiving"), 409)
    assert problem["detail"] == "The database refuses: balance is never below zero."
    assert Balance.objects.get(lot__code="H1", location__code="STORE").quantity_micro == 20_000_000


def test_a_fault_of_ours_is_a_problem_without_a_traceback(api: Api, monkeypatch: pytest.MonkeyPatch):
    api.house.stock_up()

    def fall_over(**_: Any) -> None:
        raise ZeroDivisionError("secret of the house")

    monkeypatch.setattr("inventory.api.moves.move_stock", fall_over)
    client = APIClient(raise_request_exception=False)
    client.force_authenticate(api.house.people["receiving"])
    answer = client.post("/api/v1/moves/", MOVE, headers={"Idempotency-Key": str(uuid.uuid4())})
    assert problem_of(answer, 500)["code"] == "server_fault"
    assert b"secret" not in answer.content


def test_a_page_that_falls_over_is_no_problem_document():
    answer = faults.server_error(RequestFactory().get("/lots/"))
    assert answer.status_code == 500
    assert answer["Content-Type"].startswith("text/html")


@pytest.mark.django_db
def test_a_host_that_is_not_ours_is_refused_in_the_form_of_its_address():
    refused = Client(headers={"host": "elsewhere.example"})
    assert problem_of(refused.get("/api/v1/lots/"), 400)["code"] == "bad_request"
    assert refused.get("/lots/")["Content-Type"].startswith("text/html")
