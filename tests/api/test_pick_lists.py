"""Drawing by the sheet over the API: the pick list, stand-ins, reasons, refusals with a way out, and files."""

import json
import uuid

from django.core.files.uploadedfile import SimpleUploadedFile

from tests.api.chain import Body, line, moment
from tests.api.client import ROOT, Api, fields_of, problem_of
from tests.brewhouse import START
from tests.inventory.laboratory import Laboratory
from tests.inventory.papers import PNG
from tests.production.brewday import brew_by, sheet_of
from tests.standing import built_once


@built_once
def brewing(api: Api) -> Api:
    """B1 wants 200 kg of Pilsner malt and 100 g alpha of Saaz; M1, H1 of 4 % and C1 are here."""
    house = api.house
    house.deliver("PILS", "M1", "300 kg")
    house.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    house.deliver("CASCADE", "C1", "20 kg", supplier="HOPYARD", note="2")
    Laboratory(house).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    brew_by(house, sheet_of(house))
    return api


def draw(*lines: Body, **more: object) -> Body:
    return {"happened_at": moment(3), "into": "B1", "lines": list(lines), **more}


def test_the_pick_list_tells_lots_places_and_why_hops_weigh_what_they_do(brewing: Api):
    malt, hops = brewing.get("brews/B1/pick-list/").json()
    assert malt["picks"] == [{"lot": "M1", "location": "STORE", "alpha_pct": None, "quantity": "200", "unit": "kg"}]
    assert (hops["alpha_acids"], hops["wanted"]["quantity"], hops["picks"][0]["alpha_pct"]) == (
        {"quantity": "0.1", "unit": "kg"},
        "2.5",
        4.0,
    )
    assert "so the certificate stands" in hops["why"][0]
    brewing.post("draws/", draw(line("M1", "STORE", "120")), "brewing")
    malt, _ = brewing.get("brews/B1/pick-list/").json()
    assert (malt["drawn"]["quantity"], malt["left"]["quantity"], malt["draws"][0]["lot"]) == ("120", "80", "M1")


def test_more_than_the_sheet_asks_is_taken_with_a_reason(brewing: Api):
    too_much = draw(line("M1", "STORE", "210"))
    problem = problem_of(brewing.post("draws/", too_much, "brewing"), 409)
    assert (problem["code"], fields_of(problem)) == ("more_than_the_sheet_asks", ["reason"])
    answer = brewing.post("draws/", too_much | {"reason": "wet malt"}, "brewing")
    assert (answer.status_code, answer.json()["reason"]) == (201, "wet malt")


def test_less_than_the_sheet_asks_is_told_once_it_is_all(brewing: Api):
    body = draw(line("M1", "STORE", "150"), completes=["PILS"])
    assert problem_of(brewing.post("draws/", body, "brewing"), 409)["code"] == "less_than_the_sheet_asks"


def test_a_substitute_is_drawn_in_place_of_what_is_wanted(brewing: Api):
    body = draw(line("C1", "STORE", "1"))
    assert problem_of(brewing.post("draws/", body, "brewing"), 409)["code"] == "not_on_the_sheet"
    stands_in = [{"wanted": "SAAZ", "lot": "C1", "reason": "no Saaz left"}]
    key = uuid.uuid4()
    first = brewing.post("draws/", body | {"stands_in": stands_in}, "brewing", key)
    again = brewing.post("draws/", body | {"stands_in": stands_in}, "brewing", key)
    assert (first.status_code, json.loads(again.content)) == (201, json.loads(first.content))
    (one,) = brewing.get("brews/B1/pick-list/").json()[1]["draws"]
    assert (one["lot"], one["stands_in_because"]) == ("C1", "no Saaz left")


def test_a_refusal_names_another_lot(brewing: Api):
    brewing.house.deliver("PILS", "M2", "300 kg", note="3")
    brewing.house.decide("M1", "on_hold", hours=1)
    problem = problem_of(brewing.post("draws/", draw(line("M1", "STORE", "50")), "brewing"), 409)
    assert problem["code"] == "lot_not_released"
    assert problem["detail"].endswith("Free instead: 50 kg of lot M2 in Dry store.")


def test_a_photo_of_the_brew_day_is_kept_with_the_brew(brewing: Api):
    file = SimpleUploadedFile("lauter.png", PNG)
    answer = brewing.client("brewing").post(
        f"{ROOT}brews/B1/attachments/",
        {"file": file},
        format="multipart",
        headers={"Idempotency-Key": str(uuid.uuid4())},
    )
    assert (answer.status_code, answer.json()["name"]) == (201, "lauter.png")
    assert brewing.get("brews/B1/attachments/").json()["results"] == [answer.json()]
