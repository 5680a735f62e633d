"""The page on which a brewer counts yeast: one form, told first where the book changes, corrected with the old kept."""

import pytest
from django.test import Client

from inventory.models import Certificate
from tests.brewhouse import Brewhouse, micro
from tests.inventory.laboratory import Laboratory
from tests.production.pages.test_cellar import choice, faults_of, send_to
from tests.signing import signed_in
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.deliver("YEAST", "Y1", "50 kg", "COLD")
    return brewhouse


@pytest.fixture
def brewer(house: Brewhouse) -> Client:
    return signed_in(house, "brewing")


WHEN = "2026-03-04T10:00"


def test_a_brewer_counts_and_measures_at_once(house: Brewhouse, brewer: Client):
    page = f"/yeast/lots/{house.lot('Y1').pk}/"
    assert f'href="{page}count/"' in brewer.get(page).content.decode()
    asked = {"viability": "96,5", "cell_count": "1200", "place": choice(house, "Y1", "COLD"), "amount": "48"}
    answer = send_to(brewer, f"{page}count/", happened_at=WHEN, **asked)
    told = answer.told[0].replace("\xa0", " ")
    assert told == "The book says 50 kg in Cold store, and you 48 kg: -2 kg go to count differences."
    assert (answer.status_code, house.held("Y1", "COLD")) == (303, micro("48 kg"))
    shown = " ".join(brewer.get(page).content.decode().split())
    assert "Viability 96.5 % <br> Cell count 1200 million/mL" in shown


def test_a_correction_starts_from_what_it_corrects_and_keeps_it(house: Brewhouse, brewer: Client):
    page = f"/yeast/lots/{house.lot('Y1').pk}/"
    send_to(brewer, f"{page}count/", happened_at=WHEN, viability="9")
    correction = f"{page}count/?corrects={Certificate.objects.get().pk}"
    form = brewer.get(correction).context["form"]
    assert (form.initial["viability"], "amount" in form.fields) == ("9", False)
    assert send_to(brewer, correction, happened_at=WHEN, viability="90").status_code == 303
    assert "corrected since, counts no more" in brewer.get(page).content.decode()


def test_a_find_is_told_before_it_is_written(house: Brewhouse, brewer: Client):
    answer = send_to(brewer, f"/yeast/lots/{house.lot('Y1').pk}/count/", happened_at=WHEN, bacteria="2")
    assert answer.told == ["It says bacteria: have it looked at before this yeast is pitched."]


def test_what_cannot_be_stands_beside_its_field(house: Brewhouse, brewer: Client):
    page = f"/yeast/lots/{house.lot('Y1').pk}/count/"
    assert "112 % cannot be; plausible is 0 to 100 %." in faults_of(send_to(brewer, page, viability="112"))
    assert "Write at least one count" in faults_of(send_to(brewer, page))
    laboratorys = Laboratory(house).enter("Y1", values={"viability": "97"})
    refused = send_to(brewer, f"{page}?corrects={laboratorys.pk}", happened_at=WHEN, viability="99")
    assert "a laboratory stated it" in faults_of(refused)
    assert brewer.get(f"{page}?corrects=99999").status_code == 404
