"""The pages of materials: what is set of each and what is asked of it, and the forms that set both."""

import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client

from inventory.models import Material, Specification
from inventory.queries.materials import settings_of, version_of
from tests.brewhouse import Brewhouse
from tests.inventory.laboratory import Laboratory
from tests.standing import built_once


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    lab = Laboratory(brewhouse)
    lab.ask_for_malt()
    return lab


@pytest.fixture
def quality(client: Client, lab: Laboratory) -> Client:
    client.force_login(lab.house.people["quality"])
    return client


def text_of(answer: Any) -> str:
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode()).split()).replace("\xa0", " ")


def settings(lab: Laboratory, code: str, **more: Any) -> dict[str, Any]:
    """Return what the form sends: as the page showed it, but for `more`."""
    return {
        "request_id": str(uuid.uuid4()),
        "version": version_of(lab.house.material(code)),
        "arrives": "quarantined",
        "delivery_tolerance_pct": "2",
        "count_tolerance_pct": "2",
        **more,
    }


def test_the_list_tells_what_is_set_of_each_and_is_narrowed_by_kind(quality, lab):
    Material.objects.filter(code="PILS").update(allergens=["barley"], shelf_life_days=365)
    text = text_of(quality.get("/materials/"))
    for words in ("Pilsner malt", "barley", "365 days", "Moisture at most 5 %", "Ochratoxin A at most 3 µg/kg"):
        assert words in text
    text = text_of(quality.get("/materials/?kind=hop"))
    assert ("Saaz" in text, "Pilsner malt" in text) == (True, False)


def test_a_material_is_set_up_once_however_often_it_is_sent(quality, lab):
    form = settings(
        lab,
        "MUNICH",
        delivery_tolerance_pct="0,5",
        warmest_arrival_c="-1.5",
        shelf_life_days="365",
        told_days_before="60",
        allergens=["barley"],
    )
    first, again = quality.post("/materials/MUNICH/", form), quality.post("/materials/MUNICH/", form)
    assert (first.status_code, first["Location"]) == (303, "/materials/MUNICH/")
    assert again["Location"] == first["Location"]
    assert settings_of(lab.house.material("MUNICH")) == {
        "arrives": "quarantined",
        "delivery_tolerance_ppm": 5_000,
        "count_tolerance_ppm": 20_000,
        "warmest_arrival_milli_c": -1_500,
        "shelf_life_days": 365,
        "told_days_before": 60,
        "open_days": None,
        "allergens": ["barley"],
        "allergens_exempt_in_eu": [],
        "is_of_animal_origin": False,
        "claims": [],
        "salt": "",
        "container": "",
    }
    text = text_of(quality.get("/materials/MUNICH/"))
    for words in (
        "Munich malt is set up.",
        "0.5 %",
        "-1.5 °C",
        "365 days",
        "barley",
        "Told before its best-before day 60 days",
        "A pack may be open for 60 days",
    ):
        assert words in text


def test_the_form_shows_what_is_set_now(quality, lab):
    Material.objects.filter(code="MUNICH").update(allergens=["barley"], warmest_arrival_milli_c=4_000)
    page = quality.get("/materials/MUNICH/").content.decode()
    assert re.search(r'name="allergens"\s+value="barley"[^>]*checked', page)
    assert re.search(r'name="warmest_arrival_c"\s+value="4"', page)
    assert re.search(r'name="arrives"\s+value="quarantined"[^>]*checked', page)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"delivery_tolerance_pct": "some"}, "is not a quantity"),
        ({"delivery_tolerance_pct": "0.00001"}, "It is written more finely than it is kept: up to 4 decimals."),
        ({"delivery_tolerance_pct": "101"}, "Give 100 or less."),
        ({"warmest_arrival_c": "101"}, "Give 100 or less."),
        ({"warmest_arrival_c": "-51"}, "Give -50 or more."),
        ({"shelf_life_days": "0"}, "Give a whole number from 1 to 3650."),
        ({"arrives": ""}, "This field is required."),
        ({"allergens": ["kiwi"]}, "Select a valid choice."),
        ({"allergens": ["barley"], "claims": ["gluten_free"]}, "so it cannot be called gluten-free"),
        ({"allergens_exempt_in_eu": ["fish"]}, "Only an allergen that it carries can be exempt."),
    ],
)
def test_what_cannot_be_set_is_told_beside_its_field(quality, lab, change, words):
    answer = quality.post("/materials/MUNICH/", settings(lab, "MUNICH", **change))
    assert answer.status_code == 400
    assert words in text_of(answer)
    assert settings_of(lab.house.material("MUNICH"))["claims"] == []


def test_only_a_salt_is_asked_which_it_is(quality, lab):
    assert 'name="salt"' not in quality.get("/materials/MUNICH/").content.decode()
    assert quality.post("/materials/GYPSUM/", settings(lab, "GYPSUM", salt="CaSO4·2H2O")).status_code == 303
    assert "gypsum (CaSO4·2H2O)" in text_of(quality.get("/materials/GYPSUM/"))


def test_only_packaged_beer_is_asked_what_it_is_filled_into(quality, lab):
    assert 'name="container"' not in quality.get("/materials/MUNICH/").content.decode()
    assert quality.post("/materials/KEG50/", settings(lab, "KEG50", container="cask")).status_code == 303
    assert "cask, dispensed by pump" in text_of(quality.get("/materials/KEG50/"))


def test_who_is_late_is_told(quality, lab):
    form = settings(lab, "MUNICH", shelf_life_days="10")
    Material.objects.filter(code="MUNICH").update(shelf_life_days=20)
    answer = quality.post("/materials/MUNICH/", form)
    assert answer.status_code == 400
    assert "Since you looked at material MUNICH, its settings were changed." in text_of(answer)


def test_a_claim_that_stock_contradicts_is_told(quality, lab):
    Material.objects.filter(code="PILS").update(allergens=["barley"])
    lab.house.whole_chain()
    answer = quality.post("/materials/KEG50/", settings(lab, "KEG50", claims=["gluten_free"]))
    assert answer.status_code == 400
    assert "Lot KEG1 cannot be called gluten-free: lot M1 (Pilsner malt) carries barley." in text_of(answer)


def test_a_limit_is_set_and_the_earlier_one_stays_on_record(quality, lab):
    form = {
        "request_id": str(uuid.uuid4()),
        "property": "moisture",
        "most": "4,5",
        "in_force_from": "2026-03-01",
        "source": "contract 13",
    }
    first, again = quality.post("/materials/MUNICH/limits/", form), quality.post("/materials/MUNICH/limits/", form)
    assert (first.status_code, first["Location"]) == (303, "/materials/MUNICH/limits/")
    assert again["Location"] == first["Location"]
    newest = Specification.objects.filter(property="moisture").latest("pk")
    assert (newest.most_micro, newest.in_force_from) == (4_500_000, date(2026, 3, 1))
    text = text_of(quality.get("/materials/MUNICH/limits/"))
    assert "at most 4.5 % 1 Mar 2026 in force contract 13 quality" in text
    assert "at most 5 % 1 Jan 2026 past contract 12 quality" in text


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"most": "51"}, "Plausible is 0 to 50 %."),
        ({"least": "5", "most": "4"}, "It is less than the least that is asked."),
        ({"property": "alpha"}, "Select a valid choice."),
        ({"most": "5", "is_withdrawn": "on"}, "What is asked for no longer has no limits."),
        ({"in_force_from": ""}, "This field is required."),
    ],
)
def test_a_limit_that_cannot_be_is_told(quality, lab, change, words):
    form = {"request_id": str(uuid.uuid4()), "property": "moisture", "in_force_from": "2026-03-01"} | change
    answer = quality.post("/materials/MUNICH/limits/", form)
    assert answer.status_code == 400
    assert words in text_of(answer)
    assert Specification.objects.count() == 3


def test_those_who_may_not_set_anything_see_it_without_a_form(client, lab):
    client.force_login(lab.house.people["brewing"])
    for address in ("/materials/MUNICH/", "/materials/MUNICH/limits/"):
        assert client.get(address).content.decode().count("<form") == 2  # the search for lots, and signing out
        assert client.post(address, {}).status_code == 403


def test_a_material_whose_code_holds_a_slash_has_its_pages(quality, lab):
    Material.objects.create(code="MALT/2", name="Other malt", kind="malt", base_unit="kg")
    assert quality.get("/materials/MALT/2/").status_code == 200
    assert quality.get("/materials/MALT/2/limits/").status_code == 200


@pytest.mark.parametrize("address", ["/materials/NONE/", "/materials/NONE/limits/", "/materials/%00/"])
def test_a_material_that_is_not_there_is_not_shown(quality, address):
    assert quality.get(address).status_code == 404


def test_the_list_asks_as_often_for_many_materials_as_for_few(quality, lab, django_assert_num_queries):
    for more in range(2):
        for number in range(10 * more):
            Material.objects.create(code=f"X{number}", name="X", kind="malt", base_unit="kg")
        with django_assert_num_queries(3 + 2):
            quality.get("/materials/")
