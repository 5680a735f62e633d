"""Scans through the API: what a text says, member by member, and why some say nothing."""

import pytest

from inventory.services.company import own_gln
from inventory.services.trade_items import add_trade_item
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import micro
from tests.standing import built_once

GS = "\x1d"
HOPS = "09521234543213"
SILENT = {
    "gtin": "",
    "trade_item": None,
    "material": None,
    "lot": "",
    "best_before": None,
    "made_on": None,
    "packed_on": None,
    "net": None,
    "count": None,
    "quantity": None,
    "sscc": "",
    "serial": "",
    "location": None,
    "own_lot": None,
}


@built_once
def known(api: Api) -> Api:
    """GTIN 09521234543213 is Saaz in boxes of 5 kg; H1 lies in the store."""
    house = api.house
    house.deliver("SAAZ", "H1", "20 kg")
    add_trade_item(
        gtin=HOPS,
        material=house.material("SAAZ"),
        name="Saaz, box",
        content_micro=micro("5 kg"),
        **house.by("administration"),
    )
    return api


def test_a_box_says_material_lot_dates_and_weights(known: Api):
    text = f"]C101{HOPS}10BREW24-0117{GS}152801313102002550304"
    answer = known.post("scans/", {"text": text}, "receiving", key=None)
    assert answer.status_code == 200, answer.content
    assert answer.json() == SILENT | {
        "text": text,
        "gtin": HOPS,
        "trade_item": {"gtin": HOPS, "name": "Saaz, box", "content": {"quantity": "5", "unit": "kg"}},
        "material": "SAAZ",
        "lot": "BREW24-0117",
        "best_before": "2028-01-31",
        "net": {"quantity": "25.5", "unit": "kg"},
        "count": 4,
        "quantity": {"quantity": "25.5", "unit": "kg"},
    }


def test_our_own_labels_say_lot_place_and_pallet(known: Api):
    def said(text: str) -> dict[str, object]:
        answer = known.post("scans/", {"text": text}, "quality", key=None).json()
        return {name: value for name, value in answer.items() if name != "text" and value != SILENT[name]}

    assert said(f"]C1414{own_gln()}91H1") == {"own_lot": "H1", "material": "SAAZ"}
    fermenter = {"code": "FV1", "name": "Fermenter 1", "kind": "fermenter"}
    assert said(f"https://id.gs1.org/414/{own_gln()}/254/FV1") == {"location": fermenter}
    known.post("pallets/", {"stands_in": "STORE", "made_at": "2026-03-02T09:00:00Z"}, "receiving")
    sscc = known.get("pallets/").json()["results"][0]["sscc"]
    pallet = {"code": sscc, "name": f"Pallet …{sscc[-6:]}", "kind": "pallet"}
    assert said(f"]C100{sscc}") == {"sscc": sscc, "location": pallet}


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("0109521234543214", "wrong_check_digit", "its check digit would be 3"),
        (f"01{HOPS}10{'A' * 21}", "too_long", "at most 20 characters"),
        ("6291041500213", "unknown_gtin", "GTIN 06291041500213 is not known here"),
        (f"01{HOPS}15260230", "no_such_day", "260230 is no day of the calendar"),
        ("hello", "unreadable_scan", "neither a GS1 barcode nor a code of this brewery"),
    ],
)
def test_what_cannot_be_trusted_is_a_problem_with_its_reason(known: Api, text: str, code: str, words: str):
    problem = problem_of(known.post("scans/", {"text": text}, "receiving", key=None), 400)
    assert problem["code"] == code
    assert words in problem["detail"]
    assert fields_of(problem) == ["text"]


@pytest.mark.parametrize("body", [{}, {"text": ""}, {"text": 7}, {"text": "A" * 4297}, {"text": "FV1", "more": 1}])
def test_what_is_no_scan_is_told_by_field(known: Api, body: object):
    assert fields_of(problem_of(known.post("scans/", body, "receiving", key=None), 400)) in (["text"], ["more"])
