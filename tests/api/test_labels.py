"""Labels through the API: a PDF, or a problem that says why there is none."""

import pytest

from tests.api.client import ROOT, Api, fields_of, problem_of
from tests.standing import built_once


@built_once
def stocked(api: Api) -> Api:
    api.house.stock_up()
    return api


@pytest.mark.parametrize(
    "query", [{"lot": "H1"}, {"lot": ["H1", "M1"], "copies": 2}, {"location": "FV1", "size": "a4-24"}]
)
def test_a_label_is_a_pdf(stocked: Api, query: dict[str, object]):
    answer = stocked.get("labels/", **query)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Content-Disposition"] == 'inline; filename="labels.pdf"'
    assert answer.content.startswith(b"%PDF-")


def test_a_pallet_has_a_label(stocked: Api):
    made = stocked.post("pallets/", {"stands_in": "STORE", "made_at": "2026-03-02T09:00:00Z"}, "receiving").json()
    assert stocked.get("labels/", pallet=made["sscc"], size="100x150").content.startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("query", "fields"),
    [
        ({}, ["lot"]),
        ({"lot": "NONE"}, ["lot[0]"]),
        ({"lot": "H1", "size": "77x77"}, ["size"]),
        ({"lot": "H1", "copies": "0"}, ["copies"]),
        ({"lot": "H1", "copies": "201"}, ["copies"]),
        ({"lot": "H1", "copy": "2"}, ["copy"]),
        ({"pallet": "095212340000000013"}, ["pallet"]),
    ],
)
def test_what_is_wrong_is_told_by_field(stocked: Api, query: dict[str, object], fields: list[str]):
    assert fields_of(problem_of(stocked.get("labels/", **query), 400)) == fields


def test_what_has_no_label_says_so(stocked: Api):
    problem = problem_of(stocked.get("labels/", location="customer:INN"), 409)
    assert problem["code"] == "no_label"


def test_whoever_wants_another_form_is_told(stocked: Api):
    answer = stocked.client("auditor").get(ROOT + "labels/?lot=H1", headers={"Accept": "application/json"})
    assert problem_of(answer, 406)["code"] == "not_acceptable"
