"""Pitching and harvesting on pages: amounts are proposed by count and gravity; what is to be known is told first."""

from typing import Any

import pytest
from django.test import Client

from inventory.models import Event, Location
from inventory.services.vessels import take_out_of_service
from tests.brewhouse import START, Brewhouse, at, micro
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import brew_by, reading, sheet_of, write
from tests.production.cellar import ENDED, gravities
from tests.production.pages.test_cellar import choice, faults_of, send
from tests.signing import signed_in
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of wort of 12 °P lie in FV1; Y1 has 1200 million cells in a mL, 97 % alive; Y5 was never counted."""
    brewhouse.stock_up()
    sheet = sheet_of(brewhouse, pitch_cells=1_000_000, yeast=brewhouse.material("YEAST"))
    brew = brew_by(brewhouse, sheet, cold_wort_micro=micro("1000 L"))
    brewhouse.draw(brew, ("M1", "SILO1", "200 kg"), hours=3)
    write(brewhouse, brew, reading("knock_out", "gravity", "12"), hours=8)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=9)
    brewhouse.deliver("YEAST", "Y5", "20 kg", "COLD", generation=5)
    Laboratory(brewhouse).enter(
        "Y1", values={"viability": "97", "cell_count": "1200"}, number="V-1", issued_on=START.date()
    )
    return brewhouse


@pytest.fixture
def brewer(house: Brewhouse) -> Client:
    return signed_in(house, "brewing")


PITCHED_AT, CROPPED_AT = "2026-03-02T19:00", "2026-03-10T20:00"


def pitched(house: Brewhouse, brewer: Client, **fields: Any) -> Any:
    asked = {
        "yeast_1": choice(house, "Y1", "COLD"),
        "quantity_1": "10.83",
        "beer": "LAGER",
        "contents_code": "T1",
        "happened_at": PITCHED_AT,
    }
    return send(brewer, "pitch", **asked | fields)


def test_the_amount_is_proposed_by_count_viability_and_gravity(house: Brewhouse, brewer: Client):
    form = brewer.get("/cellar/FV1/pitch/").context["form"]
    # 1 million for each mL and °P of 1000 L at 12 °P: 1.2e13; at 1.2e9 and 97 % 10.31 L, at 1.05 kg/L 10.82 kg.
    assert form.initial["quantity_1"] == "10.83 kg"
    assert form.initial["yeast_1"] == choice(house, "Y1", "COLD")
    assert (form.initial["beer"], "quantity_2" in form.initial) == ("LAGER", False)
    assert 'inputmode="decimal"' in str(form["quantity_1"])


def test_what_it_brings_is_told_and_then_it_is_pitched(house: Brewhouse, brewer: Client):
    answer = pitched(house, brewer)
    assert answer.status_code == 303
    told = " ".join(answer.told)
    assert "1e+03 L" not in told
    assert "1000 L of 12 °P (gravity at knock-out: B1) want 12 million million living cells" in told
    assert "by the sheet" in told
    assert "Lot Y1, generation 1, brings 12 million million: 97 % alive" in told
    assert "Together that is 100 % of what is wanted." in told
    assert house.lot("T1").generation == 1


def test_a_blend_of_yeasts_is_of_the_highest_generation(house: Brewhouse, brewer: Client):
    answer = pitched(house, brewer, yeast_2=choice(house, "Y5", "COLD"), quantity_2="2 kg")
    told = " ".join(answer.told)
    assert "The beer is then of generation 5, the highest of what goes in." in told
    assert "Lot Y5, generation 5, was not counted, so what it brings is not known" in told
    assert "Together" not in told
    assert house.lot("T1").generation == 5


def test_yeast_past_its_generations_is_refused_in_words(house: Brewhouse, brewer: Client):
    house.deliver("YEAST", "Y11", "20 kg", "COLD", generation=11)
    answer = pitched(house, brewer, yeast_1=choice(house, "Y11", "COLD"))
    assert "Lot Y11 is of generation 11; here 10 is the last that is used." in faults_of(answer)
    assert "somebody with the role quality, besides that for this work, sign in and do it with a reason" in faults_of(
        answer
    )
    assert not Event.objects.filter(kind="pitch").exists()


def test_a_yeast_without_an_amount_is_told_beside_its_field(house: Brewhouse, brewer: Client):
    answer = pitched(house, brewer, yeast_2=choice(house, "Y5", "COLD"))
    assert "Give the lot and how much of it, or neither." in faults_of(answer)


def test_the_yeast_page_leads_to_the_tanks(house: Brewhouse, brewer: Client):
    assert 'href="/cellar/FV1/pitch/"' in brewer.get("/yeast/").content.decode()
    pitched(house, brewer)
    assert 'href="/cellar/FV1/harvest/"' in brewer.get("/yeast/").content.decode()
    assert "/cellar/FV1/harvest/" not in signed_in(house, "quality").get("/yeast/").content.decode()


def test_yeast_is_harvested_once_the_fermentation_has_ended(house: Brewhouse, brewer: Client):
    house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=10)
    asked = {
        "quantity": "22",
        "beer": "20",
        "location": "BRINK1",
        "yeast_code": "Y2",
        "happened_at": CROPPED_AT,
    }
    early = send(brewer, "harvest", **asked)
    assert "Fermenter 1 is not known to have ended its fermentation" in faults_of(early)
    gravities(house, ENDED)
    answer = send(brewer, "harvest", **asked)
    assert (answer.status_code, house.held("Y2", "BRINK1")) == (303, micro("22 kg"))
    assert answer.told[0].startswith("The crop is of generation 2.")


def test_a_brink_out_of_service_is_not_offered(house: Brewhouse, brewer: Client):
    def offered() -> list[str]:
        page = brewer.get("/cellar/FV1/harvest/")
        return [code for code, _ in page.context["form"].fields["location"].choices]

    house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=10)
    assert "BRINK1" in offered()
    take_out_of_service(
        vessel=Location.objects.get(code="BRINK1"), reason="valve", happened_at=at(11), **house.by("brewing")
    )
    assert "BRINK1" not in offered()
