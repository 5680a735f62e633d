"""One key, one happening: repeated, changed, borrowed, refused and mistyped keys."""

import json
import uuid

import pytest

from brewery.kernel.models import Request
from inventory.models import Event
from tests.api.chain import DELIVERY, MOVE
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import micro
from tests.standing import built_once


@built_once
def stocked(api: Api) -> Api:
    """M1, H1 and other raw materials are in stock."""
    api.house.stock_up()
    return api


def test_the_same_key_with_other_content_is_refused_and_named(stocked: Api):
    key = uuid.uuid4()
    assert stocked.post("moves/", MOVE, "receiving", key).status_code == 201
    problem = problem_of(stocked.post("moves/", MOVE | {"quantity": "6"}, "receiving", key), 422)
    assert problem["code"] == "request_id_reused"
    assert fields_of(problem) == ["quantity_micro"]
    assert stocked.house.held("H1", "COLD") == micro("5 kg")


def test_a_key_of_one_kind_of_request_is_refused_for_another(stocked: Api):
    key = uuid.uuid4()
    assert stocked.post("moves/", MOVE, "receiving", key).status_code == 201
    problem = problem_of(stocked.post("deliveries/", DELIVERY, "receiving", key), 422)
    assert "another action" in problem["detail"]


def test_a_key_that_somebody_else_used_is_refused(stocked: Api):
    key = uuid.uuid4()
    assert stocked.post("moves/", MOVE, "receiving", key).status_code == 201
    problem = problem_of(stocked.post("moves/", MOVE, "brewing", key), 422)
    assert "another person" in problem["detail"]


def test_the_same_amount_written_in_another_unit_is_the_same_content(stocked: Api):
    key = uuid.uuid4()
    first = stocked.post("moves/", MOVE, "receiving", key)
    second = stocked.post("moves/", MOVE | {"quantity": "5000.0", "unit": "g"}, "receiving", key)
    assert json.loads(first.content)["id"] == json.loads(second.content)["id"]


def test_a_refused_request_leaves_its_key_free(stocked: Api):
    key = uuid.uuid4()
    assert stocked.post("moves/", MOVE | {"quantity": "500"}, "receiving", key).status_code == 409
    assert not Request.objects.filter(pk=key).exists()
    assert stocked.post("moves/", MOVE, "receiving", key).status_code == 201


def test_a_repeated_request_is_answered_after_what_it_made_was_reversed(stocked: Api):
    key = uuid.uuid4()
    body = DELIVERY | {"lines": [DELIVERY["lines"][1] | {"lot_code": "H9"}]}
    assert stocked.post("deliveries/", body, "receiving", key).status_code == 201
    moved = uuid.uuid4()
    move = MOVE | {"lot": "H9"}
    first = json.loads(stocked.post("moves/", move, "receiving", moved).content)
    stocked.house.reverse(Event.objects.get(pk=first["id"]))
    stocked.house.reverse(Event.objects.get(request=key))
    again = stocked.post("moves/", move, "receiving", moved)
    assert again.status_code == 201
    assert json.loads(again.content)["id"] == first["id"]
    assert problem_of(stocked.post("moves/", move, "receiving"), 400)["errors"][0]["code"] == "unknown_code"


@pytest.mark.parametrize("key", ["7", "not-a-key", "{12345678-1234-1234-1234-123456789abc}", "1" * 400, "é"])
def test_a_key_that_is_no_uuid_is_refused_and_says_what_to_send(stocked: Api, key: str):
    problem = problem_of(stocked.post("moves/", MOVE, "receiving", key), 400)
    assert problem["code"] == "idempotency_key_invalid"
    assert fields_of(problem) == ["Idempotency-Key"]
    assert "Send a new UUID" in problem["detail"]


def test_a_missing_key_is_refused_and_says_what_to_send(stocked: Api):
    problem = problem_of(stocked.post("moves/", MOVE, "receiving", key=None), 400)
    assert problem["code"] == "idempotency_key_missing"
    assert "the same one again whenever you repeat" in problem["detail"]


def test_a_key_in_quotes_is_the_same_key(stocked: Api):
    # IETF draft-ietf-httpapi-idempotency-key-header writes the key as a string of structured fields (RFC 8941).
    key = uuid.uuid4()
    first = stocked.post("moves/", MOVE, "receiving", f'"{key}"')
    second = stocked.post("moves/", MOVE, "receiving", str(key).upper())
    assert json.loads(first.content)["id"] == json.loads(second.content)["id"]
