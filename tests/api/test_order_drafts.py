"""A draft of an order over the API: changed as it was seen, and made an order once."""

import uuid
from typing import Any

from inventory.models import OrderDraft, PurchaseOrder
from tests.api.chain import DRAFTED, ORDER, ORDER_DRAFT
from tests.api.client import Api, fields_of, problem_of
from tests.standing import built_once

MORE = DRAFTED | {"quantity": "50"}


@built_once
def seen(api: Api) -> dict[str, Any]:
    """A draft as somebody sees it who then works on it."""
    said = api.post("order-drafts/", ORDER_DRAFT, "receiving").json()
    return {"draft": said["id"], "revision": said["revision"]}


def ordered(seen: dict[str, Any], revision: int = 1) -> dict[str, Any]:
    """Return the request that makes an order of it."""
    return seen | {"revision": revision, "number": "PO-2", "ordered_on": "2026-05-01"}


def test_a_draft_is_changed_and_made_an_order_once_however_often_it_is_sent(api: Api, seen: dict[str, Any]):
    for address, body in (
        ("order-draft-changes/", seen | {"lines": [MORE]}),
        ("order-draft-orders/", ordered(seen, 2)),
    ):
        key = uuid.uuid4()
        first, second = api.post(address, body, "receiving", key), api.post(address, body, "receiving", key)
        assert (first.status_code, second.status_code) == (201, 201), (address, second.content)
        assert first.json() == second.json()
    assert [line.quantity_micro for line in PurchaseOrder.objects.get(number="PO-2").lines.all()] == [50_000_000]


def test_each_step_needs_a_key_and_each_of_its_required_members(api: Api, seen: dict[str, Any]):
    for address, body in (
        ("order-draft-changes/", seen | {"lines": [MORE]}),
        ("order-draft-orders/", ordered(seen)),
        ("order-draft-discards/", seen),
    ):
        assert problem_of(api.post(address, body, "receiving", key=None), 400)["code"] == "idempotency_key_missing"
        for member in fields_of(problem_of(api.post(address, {}, "receiving"), 400)):
            without = {name: value for name, value in body.items() if name != member}
            assert fields_of(problem_of(api.post(address, without, "receiving"), 400)) == [member]
    assert OrderDraft.objects.get().revision == 1


def test_a_draft_that_another_has_changed_meanwhile_is_not_overwritten(api: Api, seen: dict[str, Any]):
    api.post("order-draft-changes/", seen | {"lines": [MORE]}, "receiving")
    for address, body in (
        ("order-draft-changes/", seen | {"lines": [DRAFTED]}),
        ("order-draft-orders/", ordered(seen)),
        ("order-draft-discards/", seen),
    ):
        problem = problem_of(api.post(address, body, "receiving"), 409)
        assert (problem["code"], fields_of(problem)) == ("order_draft_changed", ["revision"]), address
    assert [line.quantity_micro for line in OrderDraft.objects.get().lines.all()] == [50_000_000]


def test_a_number_of_an_order_that_is_there_is_refused(api: Api, seen: dict[str, Any]):
    api.post("purchase-orders/", ORDER, "receiving")
    problem = problem_of(api.post("order-draft-orders/", ordered(seen) | {"number": "PO-1"}, "receiving"), 409)
    assert (problem["code"], fields_of(problem)) == ("order_number_taken", ["number"])


def test_a_draft_that_is_not_there_is_not_found(api: Api, seen: dict[str, Any]):
    problem_of(api.post("order-draft-discards/", seen | {"draft": seen["draft"] + 1}, "receiving"), 404)
