"""Purchase orders through the API."""

from typing import Any

from tests.api.client import Api, fields_of, problem_of

R = "receiving"
ORDER: dict[str, Any] = {
    "number": "PO/1",
    "supplier": "HOPYARD",
    "ordered_on": "2026-02-20",
    "lines": [
        {"material": "SAAZ", "quantity": "20", "unit": "kg", "due_on": "2026-03-02", "supplier_reference": "T90"},
        {"material": "CASCADE", "quantity": "500", "unit": "g", "due_on": "2026-03-09"},
    ],
}


def test_an_order_is_entered_listed_shown_and_closed(api: Api):
    entered = api.post("purchase-orders/", ORDER, R)
    assert entered.status_code == 201
    assert entered.json()["lines"][0] == {
        "position": 1,
        "material": "SAAZ",
        "due_on": "2026-03-02",
        "supplier_reference": "T90",
        "ordered": {"quantity": "20", "unit": "kg"},
        "received": {"quantity": "0", "unit": "kg"},
        "outstanding": {"quantity": "20", "unit": "kg"},
        "over": {"quantity": "0", "unit": "kg"},
    }
    assert api.get("purchase-orders/PO/1/").json() == entered.json()
    assert api.get("purchase-orders/", is_open="true").json()["results"] == [entered.json()]
    assert api.get("purchase-orders/", is_open="false").json()["results"] == []
    closed = api.post("order-closures/", {"order": "PO/1", "reason": "the crop failed"}, R)
    assert closed.status_code == 201
    assert closed.json()["closed_reason"] == "the crop failed"
    assert closed.json()["lines"][0]["outstanding"]["quantity"] == "0"
    assert api.get("purchase-orders/", is_open="true").json()["results"] == []
    assert problem_of(api.post("order-closures/", {"order": "PO/1", "reason": "x"}, R), 409)["code"] == "order_closed"


def test_orders_are_narrowed_by_supplier(api: Api):
    api.post("purchase-orders/", ORDER, R)
    assert api.get("purchase-orders/", supplier="MALTINGS").json()["results"] == []
    assert len(api.get("purchase-orders/", supplier="HOPYARD").json()["results"]) == 1


def test_what_is_wrong_with_an_order_is_told_by_field(api: Api):
    wrong = {**ORDER, "supplier": "INN", "lines": [{**ORDER["lines"][0], "unit": "L"}, {"material": "SAAZ"}]}
    problem = problem_of(api.post("purchase-orders/", wrong, R), 400)
    assert fields_of(problem) == [
        "supplier",
        "lines[0].unit",
        "lines[1].quantity",
        "lines[1].unit",
        "lines[1].due_on",
    ]
    late = {**ORDER, "lines": [{**ORDER["lines"][0], "due_on": "2026-02-19"}]}
    assert fields_of(problem_of(api.post("purchase-orders/", late, R), 400)) == ["lines[0].due_on"]
