"""Counts over the API: the book is told to nobody before the count is handed in."""

import uuid
from typing import Any

import pytest

from tests.api.client import Api, fields_of, problem_of
from tests.api.test_lists import rows
from tests.brewhouse import micro
from tests.standing import built_once

R, B, Q, C = "receiving", "brewing", "quality", "accounting"


@built_once
def counting(api: Api) -> Api:
    """The store holds 20 kg of H1 and 10 kg of H2, and is being counted."""
    api.house.deliver("SAAZ", "H1", "20 kg")
    api.house.deliver("SAAZ", "H2", "10 kg", note="2")
    assert api.post("count-sheets/", {"location": "STORE"}, R).status_code == 201
    return api


def sheet_of(api: Api) -> int:
    number: int = rows(api.get("count-sheets/"))[0]["id"]
    return number


def enter(api: Api, lot: str, quantity: str, role: str = R, **more: Any) -> Any:
    return api.post(
        "count-entries/", {"sheet": sheet_of(api), "lot": lot, "quantity": quantity, "unit": "kg", **more}, role
    )


def step(api: Api, address: str, role: str, **more: Any) -> Any:
    return api.post(address, {"sheet": sheet_of(api), **more}, role)


def lines(answer: Any) -> dict[str, Any]:
    return {line["lot"]: line for line in answer.json()["lines"]}


def test_a_sheet_names_its_lots_and_hides_the_book(counting: Api):
    answer = counting.get(f"count-sheets/{sheet_of(counting)}/")
    assert set(lines(answer)) == {"H1", "H2"}
    told = {name: lines(answer)["H1"][name] for name in ("counted", "book", "difference", "needs_approval")}
    assert told == {"counted": None, "book": None, "difference": None, "needs_approval": None}
    assert '"20"' not in answer.content.decode()
    assert '"20"' not in enter(counting, "H1", "18").content.decode()


def test_a_count_is_entered_handed_in_and_booked_by_another_person(counting: Api):
    enter(counting, "H1", "18")
    enter(counting, "H2", "10", B)
    handed_in = step(counting, "count-submissions/", R)
    h1 = lines(handed_in)["H1"]
    assert (handed_in.json()["state"], h1["book"]["quantity"], h1["difference"]["quantity"]) == (
        "submitted",
        "20",
        "-2",
    )
    assert (h1["needs_approval"], lines(handed_in)["H2"]["needs_approval"]) == (True, False)
    assert problem_of(step(counting, "count-bookings/", B, reason="spilt"), 403)["code"] == "not_allowed"
    booked = step(counting, "count-bookings/", C, reason="spilt")
    assert (booked.status_code, booked.json()["state"], booked.json()["approved_by"]) == (201, "booked", "accounting")
    h1 = lines(booked)["H1"]
    assert (h1["difference"]["quantity"], h1["reason"]) == ("-2", "spilt")
    assert counting.get(f"events/{h1['event']}/").json()["reason"] == "spilt"
    assert counting.house.held("H1", "STORE") == micro("18 kg")


def test_a_recount_hides_the_book_again(counting: Api):
    enter(counting, "H1", "18")
    enter(counting, "H2", "10")
    step(counting, "count-submissions/", R)
    again = step(counting, "recounts/", Q)
    assert (again.json()["state"], lines(again)["H1"]["counted"], lines(again)["H2"]["book"]) == (
        "counting",
        None,
        None,
    )


def test_what_is_found_and_not_on_record_is_noted(counting: Api):
    answer = step(counting, "count-finds/", R, marking="XX-9", words="an open box, some 3 kg")
    (find,) = answer.json()["finds"]
    assert (find["marking"], find["location"], find["found_by"]) == ("XX-9", "STORE", "receiving")


def test_a_count_is_discarded(counting: Api):
    assert step(counting, "count-discards/", B).json()["state"] == "discarded"
    assert problem_of(enter(counting, "H1", "18"), 409)["code"] == "sheet_not_in_state"


def test_an_entry_that_is_repeated_is_entered_once(counting: Api):
    key = uuid.uuid4()
    body = {"sheet": sheet_of(counting), "lot": "H1", "quantity": "18", "unit": "kg"}
    first, again = (counting.post("count-entries/", body, R, key) for _ in range(2))
    assert first.json() == again.json()


def test_a_material_is_counted_wherever_it_lies(counting: Api):
    counting.house.move("H1", "STORE", "COLD", "5 kg", hours=1)
    sheet = counting.post("count-sheets/", {"material": "SAAZ"}, R)
    assert [(line["lot"], line["location"]) for line in sheet.json()["lines"]] == [
        ("H1", "COLD"),
        ("H1", "STORE"),
        ("H2", "STORE"),
    ]
    body = {"sheet": sheet.json()["id"], "lot": "H1", "quantity": "5", "unit": "kg"}
    assert fields_of(problem_of(counting.post("count-entries/", body, R), 400)) == ["location"]
    assert counting.post("count-entries/", {**body, "location": "COLD"}, R).status_code == 201


@pytest.mark.parametrize(
    ("changed", "fields"),
    [
        ({"sheet": 999}, ["sheet"]),
        ({"lot": "H9"}, ["lot"]),
        ({"unit": "L"}, ["unit"]),
        ({"location": "COLD"}, ["location"]),
        ({"quantity": "-1"}, ["quantity"]),
        ({"counted_at": "2199-01-01T00:00:00Z"}, ["counted_at"]),
    ],
)
def test_what_cannot_be_counted_is_told_by_field(counting: Api, changed: dict[str, Any], fields: list[str]):
    body = {"sheet": sheet_of(counting), "lot": "H1", "quantity": "1", "unit": "kg", **changed}
    assert fields_of(problem_of(counting.post("count-entries/", body, R), 400)) == fields


def test_counts_are_narrowed_by_place_material_and_state(counting: Api):
    assert len(rows(counting.get("count-sheets/", location="STORE", state="counting"))) == 1
    assert rows(counting.get("count-sheets/", material="SAAZ")) == []
    assert rows(counting.get("count-sheets/", state="booked")) == []
