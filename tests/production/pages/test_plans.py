"""The pages of the plan: brews by week and vessel, what is short, and what is done with one plan."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from brewery.kernel.clock import brewery_day
from brewery.production.models import Brew, BrewPlan, BrewSheet
from brewery.production.pages.plans import weeks_of
from brewery.production.queries.needs import open_plans
from inventory.models import Reservation
from tests.brewhouse import START, Brewhouse, micro, rid
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import sheet_of
from tests.signing import signed_in
from tests.standing import built_once

DAY = brewery_day() + timedelta(days=7)


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """A sheet of 200 kg of Pilsner malt and 100 g alpha is in use; 300 kg and hops of 4 % are here."""
    brewhouse.deliver("PILS", "M1", "300 kg")
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    sheet_of(brewhouse)
    return brewhouse


@pytest.fixture
def brewer(house: Brewhouse) -> Client:
    return signed_in(house)


def plan(client: Client, code: str = "P1", **fields: Any) -> Any:
    asked = {"request_id": rid(), "code": code, "sheet": BrewSheet.objects.get().pk, "brew_on": DAY.isoformat()}
    return client.post("/brewing/", {**asked, **fields})


def send(client: Client, part: str, **fields: Any) -> Any:
    return client.post(f"/brewing/plans/P1/{part}/", {"request_id": rid(), **fields})


def test_a_brew_is_planned_and_stands_in_its_week_and_vessel(house: Brewhouse, brewer: Client):
    answer = plan(brewer, vessel=house.place("FV1").pk, cold_wort="5 hL")
    assert (answer.status_code, answer["Location"]) == (303, "/brewing/plans/P1/")
    assert BrewPlan.objects.get().cold_wort_micro == micro("500 L")
    shown = brewer.get("/brewing/").content.decode()
    assert '<th scope="row">Fermenter 1</th>' in shown
    assert "/brewing/plans/P1/" in shown
    assert "Everything is here." in shown


def test_a_tank_out_of_service_is_offered_to_no_plan_but_its_own(house: Brewhouse, brewer: Client):
    def offered(address: str, form: str) -> list[int]:
        choices = brewer.get(address).context[form].fields["vessel"].choices
        return [key.value for key, _ in choices if key]

    vessel = house.place("FV1").pk
    plan(brewer, vessel=vessel)
    assert vessel in offered("/brewing/", "form")
    house.out_of_service("FV1", hours=1)
    assert vessel not in offered("/brewing/", "form")
    assert vessel in offered("/brewing/plans/P1/", "change_form")


def test_what_is_short_is_told_with_its_day(brewer: Client):
    plan(brewer)
    plan(brewer, "P2")
    shown = brewer.get("/brewing/").content.decode()
    assert "100\N{NO-BREAK SPACE}kg</strong>" in shown
    assert "P1, P2" in shown


def test_a_code_that_is_taken_is_refused_beside_its_field(brewer: Client):
    plan(brewer)
    refused = plan(brewer)
    assert refused.status_code == 400
    assert "in use already" in refused.context["form"].errors["code"][0]


def test_a_plan_is_kept_for_changed_and_started(house: Brewhouse, brewer: Client):
    plan(brewer)
    assert send(brewer, "keeping").status_code == 303
    assert {one.lot.code for one in Reservation.objects.select_related("lot")} == {"M1", "H1"}
    changed = {"sheet": BrewSheet.objects.get().pk, "brew_on": DAY.isoformat(), "cold_wort": "800", "revision": 1}
    assert send(brewer, "change", **changed).status_code == 303
    refused = send(brewer, "change", **changed)
    assert "Plan P1 is at revision 2; you looked at revision 1." in refused.content.decode()
    started = send(brewer, "start")
    assert (started.status_code, started["Location"]) == (303, "/brewing/brews/P1/")
    assert Brew.objects.get().cold_wort_micro == micro("800 L")
    assert brewer.get("/brewing/plans/P1/").status_code == 200


def test_a_plan_is_called_off_with_a_reason(brewer: Client):
    plan(brewer)
    assert send(brewer, "call-off").status_code == 400
    assert send(brewer, "call-off", reason="no bottles").status_code == 303
    assert "no bottles" in brewer.get("/brewing/plans/P1/").content.decode()
    assert open_plans() == []


def test_a_late_plan_and_a_distant_one_are_both_shown(house: Brewhouse, brewer: Client):
    plan(brewer)
    BrewPlan.objects.update(brew_on=DAY - timedelta(days=30))
    plan(brewer, "P2", brew_on=(DAY + timedelta(days=90)).isoformat())
    weeks = weeks_of(open_plans(), brewery_day())
    shown = [one.code for week in weeks for row in week["rows"] for day in row["days"] for one in day]
    assert shown == ["P1", "P2"]
