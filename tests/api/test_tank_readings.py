"""Readings of tanks over the API: many at once, corrected, marked outside of limits, and what a fermentation does."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.api.chain import Body, moment
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import rid
from tests.production.cellar import ENDED, fermenting, gravities
from tests.standing import built_once

GRAVITY: Body = {"vessel": "FV1", "property": "gravity", "value": "11.5", "happened_at": moment(20)}
WARM: Body = {"vessel": "FV1", "property": "temperature", "value": "12.4", "happened_at": moment(20)}


@built_once
def cellar(api: Api) -> Api:
    """T1 was pitched in FV1 at hour 10; its sheet says 9 °C for seven days."""
    fermenting(api.house)
    return api


def test_readings_are_answered_with_their_lot_their_unit_and_what_is_outside(cellar: Api):
    told = cellar.post("tank-readings/", {"readings": [GRAVITY, WARM]}, "brewing").json()["readings"]
    assert [(one["lot"], one["value"], one["unit"]) for one in told] == [("T1", "11.5", "°P"), ("T1", "12.4", "°C")]
    assert [one["outside"] for one in told] == ["", "12.4 °C; the sheet says 8 to 10 °C for fermentation."]
    listed = cellar.get("tank-readings/?vessel=FV1&property=temperature").json()["results"]
    assert listed == [told[1]]


def test_one_wrong_reading_of_many_is_named_and_none_is_taken_down(cellar: Api):
    late = GRAVITY | {"happened_at": moment(1)}
    problem = problem_of(cellar.post("tank-readings/", {"readings": [GRAVITY, late]}, "brewing"), 409)
    assert problem["code"] == "bad_readings"
    assert fields_of(problem) == ["readings.1"]
    assert cellar.get("tank-readings/").json()["results"] == []


def test_a_correction_names_the_reading_it_replaces_and_standing_ones_can_be_asked_for(cellar: Api):
    (wrong,) = cellar.post("tank-readings/", {"readings": [GRAVITY]}, "brewing").json()["readings"]
    body = {"reading": wrong["id"], "value": "11.2", "happened_at": moment(20), "reason": "misread"}
    right = cellar.post("tank-reading-corrections/", body, "brewing").json()
    assert (right["replaces"], right["value"], right["reason"]) == (wrong["id"], "11.2", "misread")
    assert [one["id"] for one in cellar.get("tank-readings/?standing=true").json()["results"]] == [right["id"]]
    assert problem_of(cellar.post("tank-reading-corrections/", body, "brewing"), 409)["code"] == (
        "reading_corrected_already"
    )
    problem_of(cellar.post("tank-reading-corrections/", body | {"reading": 10**9}, "brewing"), 404)


@pytest.mark.parametrize("value", ["eleven", "45", "< 2"])
def test_a_value_that_cannot_be_is_refused(cellar: Api, value: str):
    problem_of(cellar.post("tank-readings/", {"readings": [GRAVITY | {"value": value}]}, "brewing"), 400)


def test_a_fermentation_is_told_with_its_state_and_its_curve(cellar: Api):
    gravities(cellar.house, ENDED)
    told = cellar.get("fermentations/FV1/").json()
    assert (told["lot"], told["state"], told["aim_plato"], told["original_plato"]) == ("T1", "ended", 2.5, 12.0)
    assert told["final_low"] <= told["final_plato"] <= told["final_high"]
    assert told["ends_earliest"] <= told["ends_at"] <= told["ends_latest"]
    assert [(one["property"], one["value"]) for one in told["last"]] == [("gravity", "2.5")]
    assert cellar.get("fermentations/").json() == [told]


def test_an_empty_tank_has_no_fermentation(cellar: Api):
    for code in ("FV2", "FV9", "FV%00"):
        problem_of(cellar.get(f"fermentations/{code}/"), 404)


def test_a_file_of_a_logger_is_taken_whole_or_refused_by_its_places(cellar: Api):
    def send(text: str) -> Any:
        body = {"file": SimpleUploadedFile("logger.csv", text.encode())}
        headers = {"Idempotency-Key": str(rid())}
        return cellar.client("brewing").post("/api/v1/logger-files/", body, format="multipart", headers=headers)

    header = "time,vessel,temperature\n"
    problem = problem_of(send(f"{header}2026-03-03T08:00,FV1,9\n2026-03-03T09:00,FV1,warm\n"), 400)
    assert (problem["code"], fields_of(problem)) == ("file_refused", ["file"])
    told = send(f"{header}2026-03-03T08:00Z,FV1,9\n2026-03-03T09:00Z,FV1,9.5\n").json()
    assert told == {"readings": 2, "first_at": "2026-03-03T08:00:00Z", "last_at": "2026-03-03T09:00:00Z"}
