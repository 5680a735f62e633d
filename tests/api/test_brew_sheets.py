"""Brew sheets through the API: written, changed as of a revision, put in use, compared, scaled, printed, brewed by."""

import uuid
from typing import Any

import pytest

from brewery.production.models import BrewSheet
from inventory.models import Material
from tests.api.client import ROOT, Api, fields_of, problem_of
from tests.brewhouse import at
from tests.inventory.laboratory import Laboratory
from tests.standing import built_once

B = "brewing"
SHEET: dict[str, Any] = {
    "beer": "LAGER",
    "cold_wort": {"quantity": "30", "unit": "hL"},
    "original_gravity_p": "12",
    "final_gravity_p": "2.5",
    "bitterness_bu": "26",
    "yield_pct": "75",
    "boil_minutes": 70,
    "evaporation_pct": "6",
    "mash_liquor": {"quantity": "2000", "unit": "L"},
    "yeast": "YEAST",
    "pitch_cells": 1_250_000,
    "formats": ["KEG50"],
    "grains": [{"material": "PILS", "share_pct": "92.5"}, {"material": "MUNICH", "share_pct": "7.5"}],
    "hops": [
        {"material": "SAAZ", "stage": "boil", "minutes": 60, "alpha": {"quantity": "250", "unit": "g"}},
        {
            "material": "CASCADE",
            "stage": "whirlpool",
            "minutes": 20,
            "temperature_c": "85",
            "weight": {"quantity": "3", "unit": "kg"},
        },
    ],
    "salts": [{"material": "GYPSUM", "into": "mash", "quantity": "400", "unit": "g"}],
    "ions": [{"ion": "calcium", "mg_per_l": "80"}],
    "mash_steps": [
        {"vessel": "mash_tun", "action": "mash_in", "temperature_c": "62", "minutes": 10},
        {"vessel": "mash_kettle", "action": "draw_off", "temperature_c": "62", "minutes": 5, "share_pct": "33.3"},
        {"vessel": "mash_kettle", "action": "boil", "temperature_c": "99", "minutes": 15},
        {"vessel": "mash_tun", "action": "put_back", "temperature_c": "72", "minutes": 10},
    ],
    "cellar_steps": [{"phase": "fermentation", "temperature_c": "9.5", "days": 8}],
}


@built_once
def draft(api: Api) -> dict[str, Any]:
    """A draft with all that a brewer needs."""
    answer: dict[str, Any] = api.post("brew-sheets/", SHEET, B).json()
    return answer


def send(api: Api, method: str, address: str, body: Any = None, seen: int | None = None, key: str = "") -> Any:
    """Send a write, as of a revision where one is given."""
    headers = {"Idempotency-Key": key or str(uuid.uuid4())} | ({} if seen is None else {"If-Match": f'"{seen}"'})
    call = getattr(api.client(B), method.lower())
    return call(ROOT + address, {} if body is None else body, format="json", headers=headers)


def in_use(api: Api, draft: dict[str, Any]) -> dict[str, Any]:
    answer: dict[str, Any] = send(api, "POST", f"brew-sheets/{draft['id']}/uses/", seen=draft["revision"]).json()
    return answer


def test_a_sheet_is_written_once_and_says_what_was_sent(api: Api):
    key = str(uuid.uuid4())
    first, again = (send(api, "POST", "brew-sheets/", SHEET, key=key) for _ in range(2))
    assert (first.status_code, first["ETag"], BrewSheet.objects.count()) == (201, '"1"', 1)
    assert first.json() == again.json()
    said = first.json()
    assert (said["version"], said["state"], said["written_by"]) == (1, "draft", "brewing")
    assert said["cold_wort"] == {"quantity": "3000", "unit": "L"}
    assert said["grains"][1] == {"material": "MUNICH", "share_pct": "7.5", "weight": None}
    assert said["hops"][0]["alpha"] == {"quantity": "0.25", "unit": "kg"}
    assert said["salts"] == [{"material": "GYPSUM", "into": "mash", "quantity": "0.4", "unit": "kg"}]
    assert said["mash_steps"][1]["share_pct"] == "33.3"
    assert (said["colour_ebc"], said["formats"], said["liquor"]) == (None, ["KEG50"], None)
    assert api.get(f"brew-sheets/{said['id']}/").json() == said


def test_sheets_are_listed_by_beer_and_state(api: Api, draft: dict[str, Any]):
    assert api.get("brew-sheets/", beer="LAGER", state="draft").json()["results"] == [draft]
    assert api.get("brew-sheets/", state="in_use").json()["results"] == []
    assert api.get("brew-sheets/", beer="PILS").json()["results"] == []


def test_a_draft_is_changed_as_of_the_revision_that_was_seen(api: Api, draft: dict[str, Any]):
    address, key = f"brew-sheets/{draft['id']}/", str(uuid.uuid4())
    change = {"note": "Mill coarser.", "grains": [{"material": "PILS", "weight": {"quantity": "500", "unit": "kg"}}]}
    first, again = (send(api, "PATCH", address, change, 1, key) for _ in range(2))
    assert (first.status_code, first["ETag"], again.json()) == (200, '"2"', first.json())
    assert first.json()["note"] == "Mill coarser."
    assert [grain["material"] for grain in first.json()["grains"]] == ["PILS"]
    assert first.json()["hops"] == draft["hops"]
    problem = problem_of(send(api, "PATCH", address, {"note": "Mine."}, 1), 412)
    assert "is at revision 2 since" in problem["detail"]
    problem_of(send(api, "PATCH", address, {"note": "Mine."}), 428)


def test_every_fault_is_told_by_its_field(api: Api):
    wrong = {**SHEET, "final_gravity_p": "13", "grains": [{"material": "SAAZ", "share_pct": "99"}]}
    problem = problem_of(api.post("brew-sheets/", wrong, B), 400)
    assert fields_of(problem) == ["final_gravity_p", "grains[0].material", "grains"]
    volume = {**SHEET, "cold_wort": {"quantity": "30", "unit": "kg"}}
    assert fields_of(problem_of(api.post("brew-sheets/", volume, B), 400)) == ["cold_wort.unit"]
    unknown = {**SHEET, "hops": [{**SHEET["hops"][0], "colour": "green"}]}
    assert fields_of(problem_of(api.post("brew-sheets/", unknown, B), 400)) == ["hops[0].colour"]
    fine = {**SHEET, "original_gravity_p": "12.0001"}
    assert "more finely than it is kept" in problem_of(api.post("brew-sheets/", fine, B), 400)["detail"]


def test_what_is_missing_is_told_before_a_sheet_is_put_in_use(api: Api):
    bare = {name: SHEET[name] for name in ("beer", "cold_wort", "original_gravity_p", "final_gravity_p", "yield_pct")}
    draft = api.post("brew-sheets/", {**bare, "boil_minutes": 60}, B).json()
    problem = problem_of(send(api, "POST", f"brew-sheets/{draft['id']}/uses/", seen=1), 409)
    assert problem["code"] == "sheet_not_complete"
    assert fields_of(problem) == ["grains", "mash_steps", "mash_liquor", "yeast", "pitch_cells", "cellar_steps"]


def test_a_sheet_lives_from_draft_to_withdrawn_and_the_next_begins_as_its_copy(api: Api, draft: dict[str, Any]):
    used = in_use(api, draft)
    assert (used["state"], used["put_in_use_at"] is not None) == ("in_use", True)
    problem_of(send(api, "PATCH", f"brew-sheets/{draft['id']}/", {"note": "no"}, 1), 409)
    copy = send(api, "POST", f"brew-sheets/{draft['id']}/copies/").json()
    assert (copy["version"], copy["state"], copy["hops"]) == (2, "draft", used["hops"])
    withdrawn = send(api, "POST", f"brew-sheets/{draft['id']}/withdrawals/").json()
    assert withdrawn["state"] == "withdrawn"


def test_a_draft_is_discarded_as_it_was_seen(api: Api, draft: dict[str, Any]):
    address = f"brew-sheets/{draft['id']}/discards/"
    problem_of(send(api, "POST", address), 428)
    problem_of(send(api, "POST", address, seen=7), 412)
    answer = send(api, "POST", address, seen=draft["revision"])
    assert (answer.status_code, answer.json()["state"]) == (201, "discarded")
    assert answer["ETag"] == f'"{draft["revision"] + 1}"'


def test_two_sheets_are_compared_field_by_field(api: Api, draft: dict[str, Any]):
    in_use(api, draft)
    copy = send(api, "POST", f"brew-sheets/{draft['id']}/copies/").json()
    send(api, "PATCH", f"brew-sheets/{copy['id']}/", {"original_gravity_p": "12.5", "salts": []}, 1)
    told = api.get(f"brew-sheets/{draft['id']}/comparison/", other=copy["id"]).json()
    assert [(one["change"], one["about"], one["before"], one["after"]) for one in told["differences"]] == [
        ("changed", "Original gravity", "12 °P", "12.5 °P"),
        ("removed", "Gypsum, mash liquor", "0.4 kg", ""),
    ]
    for other in ("", "x", "999999", "-1", "9" * 30):
        problem = problem_of(api.get(f"brew-sheets/{draft['id']}/comparison/", other=other), 400)
        assert fields_of(problem) == ["other"]


def test_a_sheet_is_scaled_and_foretold_by_the_lots_that_are_here(api: Api, draft: dict[str, Any]):
    api.house.stock_up()
    Laboratory(api.house).enter("H1", number="C3", values={"alpha": "3.4"})
    address = f"brew-sheets/{draft['id']}/scaled/"
    told = api.get(address, cold_wort="60", unit="hL", on="2026-03-02").json()
    assert (told["on"], told["content"]["cold_wort"]) == ("2026-03-02", {"quantity": "6000", "unit": "L"})
    saaz = told["hops"][0]
    assert saaz["weight"] == {"quantity": "14.705882", "unit": "kg"}
    assert [(part["lot"], part["alpha_pct"]) for part in saaz["lots"]] == [("H1", 3.4)]
    figures = {one["key"]: one for one in told["predictions"]}
    assert figures["original_gravity"]["value"] == pytest.approx(12)
    assert figures["bitterness"]["value"] is None
    assert "alpha acids of Cascade" in figures["bitterness"]["reason"]
    assert {"field", "words"} == set(told["doubts"][0]) if told["doubts"] else True
    assert api.get(address).json()["content"]["cold_wort"] == {"quantity": "3000", "unit": "L"}
    for wrong in ({"cold_wort": "0"}, {"cold_wort": "5", "unit": "kg"}, {"cold_wort": "much"}):
        assert fields_of(problem_of(api.get(address, **wrong), 400)) == ["cold_wort"]
    assert fields_of(problem_of(api.get(address, length="5"), 400)) == ["length"]


def test_a_scaled_sheet_is_printed_as_pdf(api: Api, draft: dict[str, Any]):
    answer = api.get(f"brew-sheets/{draft['id']}/print/", cold_wort="60", unit="hL")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Content-Disposition"] == 'inline; filename="LAGER-1.pdf"'
    assert answer.content.startswith(b"%PDF-")
    problem_of(api.get("brew-sheets/999999/print/"), 404)


def test_a_number_that_no_sheet_bears_is_told(api: Api):
    for address in ("brew-sheets/999999/", "brew-sheets/999999/scaled/", "brew-sheets/999999/comparison/?other=1"):
        problem_of(api.get(address), 404)
    problem_of(send(api, "POST", "brew-sheets/999999/copies/"), 404)


def test_a_brew_is_started_by_a_sheet(api: Api, draft: dict[str, Any]):
    brew = {"code": "B1", "beer": "LAGER", "started_at": at(1).isoformat(), "sheet": draft["id"]}
    assert problem_of(api.post("brews/", brew, B), 409)["code"] == "sheet_not_in_use"
    in_use(api, draft)
    made = api.post("brews/", {**brew, "cold_wort": {"quantity": "28", "unit": "hL"}}, B).json()
    assert (made["sheet"], made["cold_wort"]) == (draft["id"], {"quantity": "2800", "unit": "L"})
    assert api.post("brews/", {**brew, "code": "B2"}, B).json()["cold_wort"]["quantity"] == "3000"
    plain = api.post("brews/", {"code": "B3", "beer": "LAGER", "started_at": at(1).isoformat()}, B).json()
    assert (plain["sheet"], plain["cold_wort"]) == (None, None)
    for sheet in (999_999, "1", True, 10**20):
        assert fields_of(problem_of(api.post("brews/", {**brew, "code": "B4", "sheet": sheet}, B), 400)) == ["sheet"]
    ale = Material.objects.create(code="ALE", name="Ale", kind="beer", base_unit="L")
    assert problem_of(api.post("brews/", {**brew, "code": "B4", "beer": ale.code}, B), 400)["code"]
