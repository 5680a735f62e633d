"""Holds over the API: what one would reach is told first, and it is released in whole or for some lots."""

import pytest

from tests.api.client import Api, problem_of

HELD = {"lots": ["M1"], "follow": ["ingredient", "carryover"], "reason": "glass", "reference": "C-12"}


@pytest.mark.usefixtures("whole_chain")
def test_a_hold_reaches_what_its_preview_told_and_its_lots_are_released(api: Api):
    told = api.get("hold-previews/?lots=M1&follow=ingredient,carryover", "quality").json()
    assert (told["packages_here"], told["packages_at_customers"], told["customers"]) == (7, 3, ["INN"])
    made = api.post("holds/", HELD, "quality").json()
    assert (made["lots_held"], made["lots_ever"], made["reference"]) == (told["lots"], told["lots"], "C-12")
    some = api.post("hold-releases/", {"hold": made["id"], "lots": ["KEG1"], "reason": "not in it"}, "quality").json()
    assert some["lots"] == ["KEG1"]
    whole = api.get(f"holds/{made['id']}/", "quality").json()
    assert whole["lots_held"] == told["lots"] - 1
    assert [row["released_because"] for row in whole["lots"] if row["lot"] == "KEG1"] == ["not in it"]
    api.post("hold-releases/", {"hold": made["id"], "reason": "nothing was found"}, "quality")
    assert api.get("holds/?is_standing=true", "quality").json()["results"] == []
    assert len(api.get("holds/?lot=KEG1", "quality").json()["results"]) == 1


def test_a_hold_that_cannot_be_names_its_field(api: Api):
    api.house.stock_up()
    for change, field in (
        ({"reason": ""}, "reason"),
        ({"lots": ["M9"]}, "lots[0]"),
        ({"follow": ["air"]}, "follow"),
    ):
        problem = problem_of(api.post("holds/", {**HELD, **change}, "quality"), 400)
        assert [fault["field"] for fault in problem["errors"]] == [field]
    problem_of(api.post("hold-releases/", {"hold": 1, "reason": "x"}, "quality"), 400)


@pytest.mark.usefixtures("whole_chain")
def test_what_a_contamination_may_have_reached_is_told_in_one_call(api: Api):
    told = api.get("contaminations/?of=Y1&ingredient=false", "quality").json()
    assert (told["lots"], told["starts"], told["follow"]) == (2, ["Y1"], ["culture", "carryover"])
    problem_of(api.get("contaminations/?of=nowhere", "quality"), 404)
