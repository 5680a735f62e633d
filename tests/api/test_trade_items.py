"""Trade items through the API."""

import pytest

from tests.api.client import Api, fields_of, problem_of

A = "administration"
ITEM = {
    "gtin": "6291041500213",  # GS1 Hong Kong's worked example
    "material": "SAAZ",
    "name": "Saaz T90, box",
    "content": {"quantity": "5000", "unit": "g"},
}


def test_a_trade_item_is_entered_listed_and_shown(api: Api):
    entered = api.post("trade-items/", ITEM, A)
    assert entered.status_code == 201
    assert entered.json() == {
        "gtin": "06291041500213",
        "material": "SAAZ",
        "name": "Saaz T90, box",
        "content": {"quantity": "5", "unit": "kg"},
    }
    loose = api.post("trade-items/", {"gtin": "7300011000017", "material": "CASCADE"}, A).json()
    assert loose["content"] is None
    assert api.get("trade-items/").json()["results"] == [entered.json(), loose]
    assert api.get("trade-items/", material="CASCADE").json()["results"] == [loose]
    assert api.get("trade-items/06291041500213/").json() == entered.json()
    assert problem_of(api.get("trade-items/6291041500213/"), 404)["code"] == "not_found"
    assert api.post("scans/", {"text": "6291041500213"}, "receiving").json()["material"] == "SAAZ"


@pytest.mark.parametrize(
    ("wrong", "fields"),
    [
        ({"gtin": "6291041500214"}, ["gtin"]),
        ({"gtin": "123"}, ["gtin"]),
        ({"material": "NOHOP"}, ["material"]),
        ({"content": {"quantity": "1", "unit": "L"}}, ["content.unit"]),
        ({"content": {"quantity": "0", "unit": "kg"}}, ["content.quantity"]),
        ({"content": "5 kg"}, ["content"]),
    ],
)
def test_what_is_wrong_is_told_by_field(api: Api, wrong: dict[str, object], fields: list[str]):
    assert fields_of(problem_of(api.post("trade-items/", ITEM | wrong, A), 400)) == fields


def test_a_gtin_is_entered_once(api: Api):
    api.post("trade-items/", ITEM, A)
    problem = problem_of(api.post("trade-items/", ITEM | {"material": "CASCADE"}, A), 400)
    assert "It stands for Saaz already" in problem["detail"]
