"""Plans over the API: planned, changed as they were seen, kept for, started, called off; and what is short."""

import json
import uuid
from datetime import timedelta

from brewery.kernel.clock import brewery_day, now
from brewery.production.models import BrewSheet
from tests.api.chain import Body
from tests.api.client import ROOT, Api, problem_of
from tests.brewhouse import START
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import sheet_of
from tests.standing import built_once


@built_once
def planning(api: Api) -> Api:
    """A sheet of 200 kg of Pilsner malt and 100 g alpha is in use; 300 kg and hops of 4 % are here."""
    house = api.house
    house.deliver("PILS", "M1", "300 kg")
    house.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(house).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    sheet_of(house)
    return api


def asked(code: str = "P1", days: int = 7, **more: object) -> Body:
    day = brewery_day() + timedelta(days=days)
    return {"code": code, "sheet": BrewSheet.objects.get().pk, "brew_on": day.isoformat(), **more}


def patch(api: Api, address: str, body: Body, version: str):
    headers = {"Idempotency-Key": str(uuid.uuid4()), "If-Match": version}
    return api.client("brewing").patch(
        ROOT + address, json.dumps(body), content_type="application/json", headers=headers
    )


def test_a_brew_is_planned_kept_for_and_started(planning: Api):
    told = planning.post("brew-plans/", asked(vessel="FV1"), "brewing")
    assert (told.status_code, told["ETag"]) == (201, '"1"')
    assert (told.json()["cold_wort"], told.json()["vessel"]) == ({"quantity": "1000", "unit": "L"}, "FV1")
    assert planning.post("brew-plans/P1/reservations/", {}, "brewing").status_code == 201
    kept = planning.get("reservations/", purpose="P1").json()["results"]
    assert {row["lot"]: row["kept"]["quantity"] for row in kept} == {"M1": "200", "H1": "2.5"}
    started = planning.post("brew-plans/P1/starts/", {"started_at": now().isoformat()}, "brewing").json()
    assert (started["state"], started["brew"]) == ("started", "P1")
    assert planning.get("brews/P1/pick-list/").json()[0]["picks"][0]["lot"] == "M1"


def test_a_plan_is_changed_only_as_it_was_seen(planning: Api):
    planning.post("brew-plans/", asked(), "brewing")
    body = {"cold_wort": {"quantity": "5", "unit": "hL"}}
    changed = patch(planning, "brew-plans/P1/", body, '"1"')
    assert (changed.status_code, changed.json()["cold_wort"]["quantity"], changed["ETag"]) == (200, "500", '"2"')
    assert problem_of(patch(planning, "brew-plans/P1/", body, '"1"'), 412)["code"] == "changed_meanwhile"
    assert planning.get("brew-plans/P1/").json() == changed.json()


def test_a_plan_is_called_off_with_a_reason(planning: Api):
    planning.post("brew-plans/", asked(), "brewing")
    assert problem_of(planning.post("brew-plans/P1/call-offs/", {}, "brewing"), 400)["code"] == "reason_missing"
    off = planning.post("brew-plans/P1/call-offs/", {"reason": "no bottles"}, "brewing").json()
    assert (off["state"], off["called_off_because"]) == ("called_off", "no bottles")
    assert planning.get("brew-needs/").json() == []


def test_needs_and_shortages_are_told_by_day(planning: Api):
    planning.post("brew-plans/", asked(), "brewing")
    planning.post("brew-plans/", asked("P2", 8), "brewing")
    needs = planning.get("brew-needs/").json()
    assert [(need["plan"], need["material"], need["quantity"]) for need in needs] == [
        ("P1", "PILS", "200"),
        ("P1", "SAAZ", "2.5"),
        ("P2", "PILS", "200"),
        ("P2", "SAAZ", "2.5"),
    ]
    (short,) = planning.get("brew-shortages/").json()
    assert (short["material"], short["missing"]["quantity"], short["plans"]) == ("PILS", "100", ["P2"])


def test_what_can_be_brewed_is_told(planning: Api):
    (one,) = planning.get("brewable-sheets/").json()
    assert (one["beer"], one["is_enough"], one["missing"]) == ("LAGER", True, [])
    planning.house.destroy("H1", "STORE", "18 kg", hours=1)
    (one,) = planning.get("brewable-sheets/").json()
    assert one["missing"] == [{"material": "SAAZ", "is_alpha_acids": True, "quantity": "0.02", "unit": "kg"}]
