"""Costs on the pages and over the API: for the accountant alone."""

import re
import uuid
from typing import Any

import pytest
from django.test import Client

from inventory.models import LotCost
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import Brewhouse
from tests.standing import built_once

C = "accounting"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """10 kg of H1 and 30 kg of H2; 16 kg were drawn on the second day, and H3 has no cost."""
    brewhouse.deliver("SAAZ", "H1", "10 kg")
    brewhouse.deliver("SAAZ", "H2", "30 kg", hours=5, note="2")
    brewhouse.deliver("CASCADE", "H3", "5 kg", note="3")
    brewhouse.draw(brewhouse.start_brew("B1", hours=24), ("H2", "STORE", "16 kg"), hours=24)
    return brewhouse


@built_once
def api(house: Brewhouse) -> Api:
    """The costs of H1 and H2 are on record."""
    api = Api(house)
    for lot, cost in (("H1", "12"), ("H2", "16.3333")):
        answer = api.post("lot-costs/", {"lot": lot, "unit_cost": cost, "currency": "EUR"}, C)
        assert answer.status_code == 201, answer.content
    return api


def kg(quantity: str) -> dict[str, str]:
    return {"quantity": quantity, "unit": "kg"}


def test_costs_are_listed_exactly_the_newest_first(api: Api):
    rows = api.get("lot-costs/", C).json()["results"]
    assert [(row["lot"], row["unit_cost"], row["currency"], row["actor"]) for row in rows] == [
        ("H2", "16.3333", "EUR", C),
        ("H1", "12.00", "EUR", C),
    ]
    assert len(api.get("lot-costs/", C, lot="H1").json()["results"]) == 1


def test_what_went_out_is_valued_both_ways(api: Api):
    """10 kg at 12.00 and 6 kg at 16.3333 are 217.9998; 40 kg cost 609.999: worked by hand."""
    value = api.get("stock-values/", C, material="SAAZ", first="2026-03-02", last="2026-03-03").json()
    assert value["currency"] == "EUR"
    assert value["came"] == {"amount": kg("40"), "value": "610.00", "without_cost": []}
    assert value["went_out"] == {"amount": kg("16"), "value": "218.00", "without_cost": []}
    assert (value["average_per_unit"], value["went_out_by_average"], value["closing_by_average"]) == (
        "15.25",
        "244.00",
        "366.00",
    )
    first_day = api.get("stock-values/", C, material="SAAZ", first="2026-03-02", last="2026-03-02").json()
    assert (first_day["went_out"]["value"], first_day["closing"]["amount"]) == ("0.00", kg("40"))


def test_a_lot_without_a_cost_is_named(api: Api):
    value = api.get("stock-values/", C, material="CASCADE", first="2026-03-02", last="2026-03-03").json()
    assert value["closing"] == {"amount": kg("5"), "value": "0.00", "without_cost": [{"lot": "H3", **kg("5")}]}
    assert (value["currency"], value["average_per_unit"]) == ("", None)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"lot": "H9"}, "lot"),
        ({"unit_cost": "-1"}, "unit_cost"),
        ({"unit_cost": "1.00001"}, "unit_cost"),
        ({"unit_cost": 1}, "unit_cost"),
        ({"currency": "eur"}, "currency"),
    ],
)
def test_a_cost_that_cannot_be_is_told_by_field(api: Api, changed: dict[str, Any], field: str):
    body = {"lot": "H1", "unit_cost": "1", "currency": "EUR", **changed}
    assert fields_of(problem_of(api.post("lot-costs/", body, C), 400)) == [field]


@pytest.mark.parametrize("changed", [{"last": "2026-03-01"}, {"last": "x"}, {"last": "9999-12-31"}])
def test_a_period_that_cannot_be_is_refused(api: Api, changed: dict[str, str]):
    asked = {"material": "SAAZ", "first": "2026-03-02", "last": "2026-03-03", **changed}
    assert fields_of(problem_of(api.get("stock-values/", C, **asked), 400)) == ["last"]


@pytest.mark.parametrize("role", ["receiving", "brewing", "quality", "administration", "auditor"])
def test_nobody_else_sees_what_anything_costs(api: Api, client: Client, role: str):
    house = api.house
    for address in ("lot-costs/", "stock-values/?material=SAAZ&first=2026-03-02&last=2026-03-03"):
        assert api.client(role).get(f"/api/v1/{address}").status_code == 403
    assert api.post("lot-costs/", {"lot": "H1", "unit_cost": "1", "currency": "EUR"}, role).status_code == 403
    client.force_login(house.people[role])
    saaz, lot = house.material("SAAZ").pk, house.lot("H1").pk
    assert "What it is worth" not in client.get(f"/stock/materials/{saaz}/").content.decode()
    assert client.get(f"/stock/materials/{saaz}/value/").status_code == 403
    assert client.get(f"/stock/lots/{lot}/cost/").status_code == 403


def text_of(answer: Any) -> str:
    plain = re.sub("<[^>]+>", " ", answer.content.decode())
    return " ".join(plain.replace("\u202f", "").replace("\u00a0", " ").split())


def test_the_accountant_records_a_cost_and_sees_the_value(client: Client, house: Brewhouse):
    client.force_login(house.people[C])
    saaz, lot = house.material("SAAZ").pk, house.lot("H1").pk
    assert "What it is worth" in text_of(client.get(f"/stock/materials/{saaz}/"))
    assert "No lot of it has a cost" in text_of(client.get(f"/stock/materials/{saaz}/value/"))
    form = {"request_id": str(uuid.uuid4()), "unit_cost": "12,50", "currency": "EUR"}
    answer = client.post(f"/stock/lots/{lot}/cost/", form, follow=True)
    assert "H1 cost 12.50 EUR a kg." in text_of(answer)
    assert LotCost.objects.get().unit_cost_e4 == 12_5000
    assert "12.50 EUR, accounting" in text_of(client.get(f"/stock/lots/{lot}/cost/"))
    text = text_of(client.get(f"/stock/materials/{saaz}/value/?first=2026-03-02&last=2026-03-03"))
    assert "Came 40 kg 125.00 H2 30 kg" in text
    assert "Went out 16 kg 125.00 H2 6 kg" in text
    assert "There is no average" in text
    assert "Give a day that is not before the first." in text_of(
        client.get(f"/stock/materials/{saaz}/value/?first=2026-03-02&last=2026-03-01")
    )
    assert client.get("/stock/materials/99999/value/").status_code == 404


@pytest.mark.parametrize("typed", ["1,250", "1.00001", "much", ""])
def test_a_cost_that_cannot_be_read_is_told_beside_its_field(client: Client, house: Brewhouse, typed: str):
    client.force_login(house.people[C])
    form = {"request_id": str(uuid.uuid4()), "unit_cost": typed, "currency": "EUR"}
    assert client.post(f"/stock/lots/{house.lot('H1').pk}/cost/", form).status_code == 400
    assert not LotCost.objects.exists()
