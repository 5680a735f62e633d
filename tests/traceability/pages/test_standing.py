"""A lot's page: how it stands, what it carries, and what it may be called."""

import re
from typing import Any

import pytest
from django.test import Client

from inventory.models import Material
from tests.brewhouse import Brewhouse
from tests.inventory.laboratory import GOOD, Laboratory
from tests.standing import built_once


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    """PILS carries barley, CASCADE fish that is exempt, KIESELGUHR molluscs; KEG50 is called gluten-free too late."""
    Material.objects.filter(code="PILS").update(allergens=["barley"])
    Material.objects.filter(code="CASCADE").update(allergens=["fish"], allergens_exempt_in_eu=["fish"])
    Material.objects.filter(code="KIESELGUHR").update(allergens=["molluscs"])
    brewhouse.whole_chain()
    Material.objects.filter(code="KEG50").update(claims=["gluten_free"])
    return Laboratory(brewhouse)


def page_of(client: Client, lab: Laboratory, lot: str, role: str = "quality") -> str:
    client.force_login(lab.house.people[role])
    answer: Any = client.get(f"/lots/{lab.house.lot(lot).pk}/")
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode()).split()).replace("\xa0", " ")


def test_what_flows_into_a_keg_is_told_with_its_lots_and_the_usual_caution(client, lab):
    text = page_of(client, lab, "KEG1")
    for words in (
        "Named by the law of the European Union cereals containing gluten, molluscs",
        "Named by the law of the United States fish",
        "barley ingredient M1 Pilsner malt",
        "fish ingredient exempt in the European Union H2 Cascade",
        "molluscs trace, passed on by residue or a culture A1 Kieselguhr",
        "gluten-free yes refused: lot M1 (Pilsner malt) carries barley",
        "free of milk no nothing on record contradicts it",
        "Check with the local code and with a laboratory",
    ):
        assert words in text


def test_a_malt_without_a_record_is_never_told_as_free_of_allergens(client, lab):
    Material.objects.filter(code="PILS").update(allergens=[])
    text = page_of(client, lab, "KEG1")
    for words in (
        "No allergen is on record of Pilsner malt. Until somebody has looked them up, this list is not whole.",
        "gluten-free yes not known: of some grain in it no allergen is on record",
    ):
        assert words in text
    assert "is on record of Pilsner malt" not in page_of(client, lab, "H1")


def test_a_lot_that_carries_nothing_says_so(client, lab):
    assert "No material in it is on record as carrying an allergen." in page_of(client, lab, "H1")


def test_decisions_and_certificates_are_told_with_what_stands_against_a_release(client, lab):
    lab.ask_for_malt("PILS")
    wrong = lab.enter("M1", number="A-7", values={**GOOD, "moisture": "5.2"})
    text = page_of(client, lab, "M1")
    for words in (
        "Moisture 5.2 % is not at most 5 %",
        "released quarantined Certificate A-7: Moisture 5.2 % is not at most 5 %. receiving",
        "Enter a certificate",
    ):
        assert words in text
    lab.enter("M1", number="A-7", replaces=wrong)
    text = page_of(client, lab, "M1")
    assert "quarantined released Certificate A-7: all that is asked is kept (3 properties)." in text
    assert "corrected since" in text


@pytest.mark.parametrize(("role", "may"), [("quality", True), ("receiving", True), ("brewing", False)])
def test_what_may_be_done_with_a_lot_depends_on_who_looks(client, lab, role, may):
    lab.house.decide("H1", "rejected", hours=500)
    text = page_of(client, lab, "H1", role)
    assert ("Enter a certificate" in text, "Send it back" in text) == (may, may)


def test_a_trace_of_some_links_or_of_the_past_leaves_the_allergens_whole(client, lab):
    client.force_login(lab.house.people["quality"])
    address = f"/lots/{lab.house.lot('KEG1').pk}/"
    for query in ("?follow=culture", "?as_of=2026-03-02T12:00"):
        assert "cereals containing gluten, molluscs" in client.get(address + query).content.decode()
