"""The log of a brew over the API: written, corrected, told with what is off the sheet, and the figures of it."""

import pytest

from tests.api.chain import Body, moment
from tests.api.client import Api, fields_of, problem_of
from tests.production.brewday import brew_by, sheet_of
from tests.standing import built_once

READING: Body = {"happened_at": moment(3), "step": "knock_out", "property": "gravity", "value": "11.2"}


@built_once
def brewing(api: Api) -> Api:
    """The brew B1 is under way by a sheet of 12 °P."""
    brew_by(api.house, sheet_of(api.house))
    return api


def test_a_reading_is_answered_with_its_unit_its_target_and_how_far_it_is_off(brewing: Api):
    told = brewing.post("brews/B1/log/", READING, "brewing").json()
    assert (told["value"], told["unit"], told["target"], told["actor"]) == ("11.2", "°P", 12.0, "brewing")
    assert told["deviation"] == "11.2 °P; the sheet says 12 °P, give or take 0.3 °P."
    assert brewing.get("brews/B1/log/").json()["results"] == [told]


def test_a_correction_names_the_line_it_replaces_and_both_are_listed(brewing: Api):
    wrong = brewing.post("brews/B1/log/", READING, "brewing").json()
    body = READING | {"entry": wrong["id"], "value": "12.1", "reason": "read too warm"}
    right = brewing.post("brews/B1/log-corrections/", body, "brewing").json()
    assert (right["replaces"], right["reason"], right["deviation"]) == (wrong["id"], "read too warm", "")
    new, old = brewing.get("brews/B1/log/").json()["results"]
    assert (new["id"], old["id"], old["replaced_by"], old["value"]) == (right["id"], wrong["id"], right["id"], "11.2")


def test_a_line_corrected_twice_is_refused_in_words(brewing: Api):
    line = brewing.post("brews/B1/log/", READING, "brewing").json()["id"]
    body = READING | {"entry": line, "value": "12.1", "reason": "read too warm"}
    brewing.post("brews/B1/log-corrections/", body, "brewing")
    problem = problem_of(brewing.post("brews/B1/log-corrections/", body, "brewing"), 409)
    assert problem["code"] == "corrected_already"
    assert "it says Gravity 12.1 °P now" in problem["detail"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"value": "eleven"}, "value"),
        ({"value": "45"}, "value"),
        ({"property": ""}, "property"),
        ({"step": "lunch"}, "step"),
        ({"happened_at": moment(0)}, "happened_at"),
        ({"is_hot": True}, "is_hot"),
        ({"property": "", "value": ""}, "words"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(brewing: Api, change: Body, field: str):
    answer = brewing.post("brews/B1/log/", READING | change, "brewing")
    assert answer.status_code in (400, 409)
    assert fields_of(answer.json()) == [field]


def test_a_line_of_another_brew_is_not_found(brewing: Api):
    line = brewing.post("brews/B1/log/", READING, "brewing").json()["id"]
    brew_by(brewing.house, None, "B2")
    body = READING | {"entry": line, "reason": "misread"}
    assert problem_of(brewing.post("brews/B2/log-corrections/", body, "brewing"), 404)["code"] == "not_found"
    assert problem_of(brewing.get("brews/B3/log/"), 404)["code"] == "not_found"


def test_the_figures_say_from_what_they_come(brewing: Api):
    brewing.post("brews/B1/log/", READING | {"property": "volume", "step": "cast_out", "is_hot": True}, "brewing")
    told = {figure["key"]: figure for figure in brewing.get("brews/B1/figures/").json()}
    assert told["contraction"]["value"] == pytest.approx(0.448)
    assert told["contraction"]["source"].startswith("cast out: Volume 11.2 L, hot")
    assert told["brewhouse_yield"]["value"] is None
