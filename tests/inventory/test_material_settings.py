"""Settings of a material: what is set is what holds, and what cannot be is refused in words."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.errors import InvalidInput
from brewery.science.salts import SALTS
from inventory.models import Material
from inventory.queries.materials import settings_of, version_of
from inventory.services.material_settings import MaterialContradicts, SettingsChanged, set_up_material
from tests.brewhouse import Brewhouse, rid
from tests.ledger import refused


def set_up(house: Brewhouse, code: str, *, version: str = "", role: str = "quality", **changes: Any) -> Material:
    more = {"request_id": changes.pop("request_id", rid())}
    material = house.material(code)
    return set_up_material(
        material=material,
        version=version or version_of(material),
        changes=changes,
        actor=house.people[role],
        **more,
    )


def test_what_is_set_holds_from_then_on(brewhouse: Brewhouse):
    set_up(
        brewhouse,
        "YEAST",
        arrives="quarantined",
        delivery_tolerance_ppm=5_000,
        count_tolerance_ppm=0,
        warmest_arrival_milli_c=4_000,
        shelf_life_days=14,
        told_days_before=3,
        open_days=2,
        claims=["vegan", "gluten_free"],
    )
    settings = settings_of(brewhouse.material("YEAST"))
    assert settings == {
        "arrives": "quarantined",
        "delivery_tolerance_ppm": 5_000,
        "count_tolerance_ppm": 0,
        "warmest_arrival_milli_c": 4_000,
        "shelf_life_days": 14,
        "told_days_before": 3,
        "open_days": 2,
        "allergens": [],
        "allergens_exempt_in_eu": [],
        "is_of_animal_origin": False,
        "claims": ["gluten_free", "vegan"],
        "salt": "",
        "container": "",
    }
    brewhouse.deliver("YEAST", "Y1", "10 kg", "COLD")
    assert brewhouse.lot("Y1").disposition == "quarantined"


def test_what_is_not_named_stays_as_it_was(brewhouse: Brewhouse):
    set_up(brewhouse, "YEAST", shelf_life_days=14)
    set_up(brewhouse, "YEAST", arrives="on_hold")
    assert settings_of(brewhouse.material("YEAST"))["shelf_life_days"] == 14
    set_up(brewhouse, "YEAST", shelf_life_days=None)
    assert settings_of(brewhouse.material("YEAST"))["shelf_life_days"] is None


def test_who_looked_before_somebody_changed_it_is_told(brewhouse: Brewhouse):
    seen = version_of(brewhouse.material("YEAST"))
    set_up(brewhouse, "YEAST", shelf_life_days=14)
    sentence = "Since you looked at material YEAST, its settings were changed."
    with refused(SettingsChanged, sentence, field="version"):
        set_up(brewhouse, "YEAST", version=seen, shelf_life_days=21)


def test_the_same_request_is_done_once(brewhouse: Brewhouse):
    seen, key = version_of(brewhouse.material("YEAST")), rid()
    first = set_up(brewhouse, "YEAST", version=seen, shelf_life_days=14, request_id=key)
    assert set_up(brewhouse, "YEAST", version=seen, shelf_life_days=14, request_id=key) == first


@pytest.mark.parametrize(
    ("changes", "field", "problem"),
    [
        ({"arrives": "rejected"}, "arrives", "Choose one of: quarantined, released, on_hold."),
        ({"delivery_tolerance_ppm": -1}, "delivery_tolerance_ppm", "Give a whole number from 0 to 1000000."),
        ({"count_tolerance_ppm": 1_000_001}, "count_tolerance_ppm", "Give a whole number from 0 to 1000000."),
        (
            {"warmest_arrival_milli_c": 100_001},
            "warmest_arrival_milli_c",
            "Give a whole number from -50000 to 100000.",
        ),
        ({"shelf_life_days": 0}, "shelf_life_days", "Give a whole number from 1 to 3650."),
        ({"told_days_before": 3_651}, "told_days_before", "Give a whole number from 0 to 3650."),
        ({"open_days": -1}, "open_days", "Give a whole number from 0 to 3650."),
        ({"claims": ["fresh"]}, "claims", "Choose from: gluten_free, milk_free, vegan, vegetarian."),
        ({"allergens_exempt_in_eu": ["milk"]}, "allergens_exempt_in_eu", "Choose from: fish, barley, wheat."),
        ({"salt": "CaSO4·2H2O"}, "salt", "Only a salt says which it is; Lager yeast is of the kind yeast."),
        ({"container": "keg"}, "container", "Only packaged beer is in a container; Lager yeast is of the kind yeast."),
        ({"container": "jug"}, "container", "Choose one of: keg, cask, bottles, cans."),
        ({"salt": "NaOH"}, "salt", f"Choose one of: {', '.join(SALTS)}."),
        (
            {"allergens_exempt_in_eu": ["barley"]},
            "allergens_exempt_in_eu",
            "Only an allergen that it carries can be exempt.",
        ),
        (
            {"allergens": ["fish"], "allergens_exempt_in_eu": ["fish"]},
            "allergens_exempt_in_eu",
            "Exempt is isinglass or fish gelatine used as fining agent in beer, so the material is a fining.",
        ),
    ],
)
def test_settings_that_cannot_be_are_refused(brewhouse: Brewhouse, changes, field, problem):
    value = changes[field][0] if isinstance(changes[field], list) else changes[field]
    with refused(InvalidInput, f"{field}: {value!r} is not valid. {problem}", field=field):
        set_up(brewhouse, "YEAST", **changes)


def test_a_salt_says_which_it_is_and_takes_it_back(brewhouse: Brewhouse):
    set_up(brewhouse, "GYPSUM", salt="CaSO4·2H2O")
    assert brewhouse.material("GYPSUM").salt == "CaSO4·2H2O"
    set_up(brewhouse, "GYPSUM", salt="")
    assert brewhouse.material("GYPSUM").salt == ""


def test_the_database_lets_nothing_else_say_which_salt_it_is(brewhouse: Brewhouse):
    with pytest.raises(IntegrityError, match="only_a_salt_says_which_salt_it_is"), transaction.atomic():
        Material.objects.filter(code="PILS").update(salt="NaCl")


def test_packaged_beer_says_what_it_is_in_and_takes_it_back(brewhouse: Brewhouse):
    set_up(brewhouse, "KEG50", container="cask")
    assert brewhouse.material("KEG50").container == "cask"
    set_up(brewhouse, "KEG50", container="")
    assert brewhouse.material("KEG50").container == ""


def test_the_database_lets_nothing_else_be_in_a_container(brewhouse: Brewhouse):
    with pytest.raises(IntegrityError, match="only_packaged_beer_has_a_container"), transaction.atomic():
        Material.objects.filter(code="PILS").update(container="keg")


def test_an_allergen_that_no_law_names_is_refused(brewhouse: Brewhouse):
    with pytest.raises(InvalidInput, match="Choose from: wheat, rye, barley, oats, crustaceans"):
        set_up(brewhouse, "YEAST", allergens=["kiwi"])


def test_what_a_material_is_cannot_be_set(brewhouse: Brewhouse):
    with pytest.raises(InvalidInput, match="What may be set is: arrives"):
        set_up(brewhouse, "YEAST", kind="malt")


def test_isinglass_carries_fish_which_is_exempt_in_beer(brewhouse: Brewhouse):
    set_up(brewhouse, "ISINGLASS", allergens=["fish"], allergens_exempt_in_eu=["fish"], is_of_animal_origin=True)
    assert brewhouse.material("ISINGLASS").allergens_exempt_in_eu == ["fish"]


def test_a_claim_that_the_material_itself_contradicts_is_refused(brewhouse: Brewhouse):
    sentence = "Pilsner malt carries barley, so it cannot be called gluten-free."
    with refused(MaterialContradicts, sentence, field="claims"):
        set_up(brewhouse, "PILS", allergens=["barley"], claims=["gluten_free"])
    set_up(brewhouse, "PILS", claims=["gluten_free"])
    with refused(MaterialContradicts, sentence, field="claims"):
        set_up(brewhouse, "PILS", allergens=["barley"])
