"""Propagating yeast on a page: nothing is guessed, what is used up is told, and a step is undone where it stands."""

from typing import Any

import pytest
from django.test import Client

from inventory.models import Event
from tests.brewhouse import Brewhouse, micro
from tests.production.pages.test_cellar import choice, faults_of, send_to
from tests.signing import signed_in
from tests.standing import built_once

PAGE = "/yeast/propagation/"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of wort W1 lie in FV1, and 50 kg of a laboratory's yeast Y1 in the cold store."""
    brewhouse.stock_up()
    brew = brewhouse.start_brew("B1", hours=1)
    brewhouse.draw(brew, ("M1", "SILO1", "200 kg"), hours=1)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    return brewhouse


@pytest.fixture
def brewer(house: Brewhouse) -> Client:
    return signed_in(house, "brewing")


def grown(house: Brewhouse, brewer: Client, **fields: Any) -> Any:
    asked = {
        "mother": choice(house, "Y1", "COLD"),
        "mother_quantity": "1",
        "medium_1": choice(house, "W1", "FV1"),
        "amount_1": "20",
        "quantity": "4",
        "location": "BRINK1",
        "yeast_code": "P1",
        "happened_at": "2026-03-03T10:00",
    }
    return send_to(brewer, PAGE, **asked | fields)


def plain(told: list[str]) -> list[str]:
    return [sentence.replace("\xa0", " ") for sentence in told]


def test_without_a_mother_in_stock_the_page_says_what_is_missing(brewhouse: Brewhouse):
    shown = signed_in(brewhouse, "brewing").get(PAGE).content.decode()
    assert "No slope, pack or step before is in stock: receive one first." in shown
    assert "Write the step down" not in shown


def test_the_mother_that_was_come_from_and_a_code_are_proposed_and_no_amount(house: Brewhouse, brewer: Client):
    page = f"/yeast/lots/{house.lot('Y1').pk}/"
    assert f'href="{PAGE}?mother=Y1">Propagate it' in " ".join(brewer.get(page).content.decode().split())
    proposed = brewer.get(f"{PAGE}?mother=Y1").context["form"].initial
    assert proposed["mother"] == choice(house, "Y1", "COLD")
    assert not [name for name in proposed if "quantity" in name or "amount" in name]
    assert brewer.get(f"{PAGE}?mother=%00").context["form"].initial["mother"] is None


def test_a_crop_is_not_offered_as_a_mother(house: Brewhouse, brewer: Client):
    house.deliver("YEAST", "Y5", "20 kg", "COLD", generation=5)
    offered = " ".join(words for _, words in brewer.get(PAGE).context["form"].fields["mother"].choices)
    assert "Y1 in Cold store: 50\xa0kg, generation 1" in offered
    assert "Y5" not in offered
    refused = grown(house, brewer, mother=choice(house, "Y5", "COLD"))
    assert "a propagation begins with a slope, a pack or a step before" in faults_of(refused)


def test_what_is_used_up_is_told_and_then_it_is_recorded(house: Brewhouse, brewer: Client):
    answer = grown(house, brewer)
    assert plain(answer.told)[:3] == [
        "1 kg of lot Y1 are used up; 49 kg stay in Cold store.",
        "20 L of lot W1 are used up; 980 L stay in Fermenter 1.",
        "Lot P1 is then of generation 1: pitched first, it is the first.",
    ]
    assert answer["Location"] == f"/yeast/lots/{house.lot('P1').pk}/"
    assert (house.held("P1", "BRINK1"), house.held("W1", "FV1")) == (micro("4 kg"), micro("980 L"))


def test_a_medium_without_an_amount_and_more_than_is_there_are_refused(house: Brewhouse, brewer: Client):
    refused = grown(house, brewer, medium_2=choice(house, "M1", "SILO1"))
    assert "Give the lot and how much of it, or neither." in faults_of(refused)
    assert "Fermenter 1 holds 1000 L of lot W1; 1001 L was asked for." in faults_of(
        grown(house, brewer, amount_1="1001")
    )
    assert not Event.objects.filter(kind=Event.Kind.PROPAGATE).exists()


def test_a_step_is_undone_on_the_page_of_its_yeast(house: Brewhouse, brewer: Client):
    page = grown(house, brewer)["Location"]
    event = Event.objects.get(kind=Event.Kind.PROPAGATE)
    assert f'href="{page}undo/?event={event.pk}"' in brewer.get(page).content.decode()
    undone = send_to(brewer, f"{page}undo/", event=event.pk, reason="the pack was another")
    assert plain(undone.told)[1:] == [
        "1 kg of lot Y1 lie in Cold store again.",
        "20 L of lot W1 lie in Fermenter 1 again.",
        "4 kg of lot P1 no longer lie in Yeast brink 1.",
    ]
    assert undone["Location"] == "/yeast/"
    assert (house.held("Y1", "COLD"), house.held("W1", "FV1")) == (micro("50 kg"), micro("1000 L"))


def test_an_event_of_another_lot_is_not_undone_here(house: Brewhouse, brewer: Client):
    event = Event.objects.get(kind=Event.Kind.KNOCK_OUT)
    answer = send_to(brewer, f"/yeast/lots/{house.lot('Y1').pk}/undo/", event=event.pk, reason="slip")
    assert f"There is no event of lot Y1 {event.pk}" in faults_of(answer)
