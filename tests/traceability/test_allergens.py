"""Allergens flow from materials to everything made of them, and contradict what is claimed."""

import pytest

from brewery.kernel.errors import NotAllowed
from brewery.production.services import dispatch
from inventory.models import Event, Lot, Material
from inventory.queries.materials import version_of
from inventory.services.claims import ClaimsContradicted
from inventory.services.decisions import NotDecided, SeenLot, decide_on_lots
from inventory.services.material_settings import set_up_material
from tests.brewhouse import Brewhouse, at
from tests.ledger import refused
from tests.standing import built_once
from traceability.queries.allergens import profile_of, profiles_of


def carry(house: Brewhouse, material: str, *allergens: str, **more: object) -> None:
    Material.objects.filter(code=material).update(allergens=list(allergens), **more)


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """M1 (barley), H1 → W1 → T1 + H2 → D1 → BB1 → KEG1; the filter aid and the yeast leave residue."""
    carry(brewhouse, "PILS", "barley")
    brewhouse.whole_chain()
    return brewhouse


def told(lot: Lot) -> dict[str, tuple[list[str], bool, bool]]:
    return {
        one.allergen.code: ([lot.code for lot in one.lots], one.is_ingredient, one.is_exempt_in_eu)
        for one in profile_of(lot).carried
    }


@pytest.mark.parametrize("code", ["M1", "W1", "T1", "D1", "BB1", "KEG1"])
def test_what_a_malt_carries_is_in_everything_made_of_it(house: Brewhouse, code: str):
    assert told(house.lot(code)) == {"barley": (["M1"], True, False)}


@pytest.mark.parametrize("code", ["H1", "Y1", "K1", "S1"])
def test_what_is_not_made_of_it_does_not_carry_it(house: Brewhouse, code: str):
    assert told(house.lot(code)) == {}


def test_what_a_residue_passes_on_is_a_trace_and_no_ingredient(house: Brewhouse):
    """Y2 was harvested out of D1, so beer clings to it; Y1 is its mother."""
    carry(house, "CASCADE", "sulphites")
    assert told(house.lot("Y2")) == {"barley": (["M1"], False, False), "sulphites": (["H2"], False, False)}
    carry(house, "KIESELGUHR", "molluscs")
    assert told(house.lot("KEG1"))["molluscs"] == (["A1"], False, False)


def test_fish_in_finings_is_exempt_in_the_union_and_told_all_the_same(house: Brewhouse):
    carry(house, "CASCADE", "fish", allergens_exempt_in_eu=["fish"])
    assert told(house.lot("KEG1"))["fish"] == (["H2"], True, True)
    carry(house, "SAAZ", "fish")
    assert told(house.lot("KEG1"))["fish"] == (["H1", "H2"], True, False)


def test_what_was_reversed_passes_nothing_on(house: Brewhouse):
    carry(house, "CASCADE", "milk")
    house.ferment(hours=400, number=2, vessel="FV2")
    mistake = house.add("FV2", "D2", ("H2", "STORE", "1 kg"), hours=420)
    assert "milk" in told(house.lot("D2"))
    house.reverse(mistake)
    assert "milk" not in told(house.lot("T2"))


def test_many_lots_are_answered_with_two_questions(house: Brewhouse, django_assert_num_queries):
    lots = list(Lot.objects.filter(reversed_by=None).select_related("material"))
    with django_assert_num_queries(2):
        profiles = profiles_of(lots)
    assert {lot.code: told(lot) for lot in lots} == {
        lot.code: {
            one.allergen.code: ([own.code for own in one.lots], one.is_ingredient, one.is_exempt_in_eu)
            for one in profiles[lot.pk].carried
        }
        for lot in lots
    }


def answers(lot: Lot) -> dict[str, tuple[bool, str]]:
    return {one.claim.code: (one.is_made, one.because) for one in profile_of(lot).claims}


def test_a_claim_is_contradicted_by_whatever_in_the_makeup_carries_it(house: Brewhouse):
    carry(house, "CASCADE", is_of_animal_origin=True)
    Material.objects.filter(code="KEG50").update(claims=["gluten_free"])
    assert answers(house.lot("KEG1")) == {
        "gluten_free": (True, "lot M1 (Pilsner malt) carries barley"),
        "milk_free": (False, ""),
        "vegan": (False, "lot H2 (Cascade) carries something of animal origin"),
        "vegetarian": (False, "lot H2 (Cascade) carries something of animal origin"),
    }


def test_the_word_of_a_supplier_counts_and_that_of_the_brewery_does_not(house: Brewhouse):
    carry(house, "PILS", "oats", claims=["gluten_free"])
    assert answers(house.lot("KEG1"))["gluten_free"] == (False, "")
    carry(house, "PILS")
    carry(house, "WORT", "oats", claims=["gluten_free"])
    assert answers(house.lot("KEG1"))["gluten_free"] == (False, "lot W1 (Lager wort) carries oats")


SENTENCE = "Lot KEG1 cannot be called gluten-free: lot M1 (Pilsner malt) carries barley."


def test_a_lot_that_contradicts_its_claim_is_neither_released_nor_shipped(house: Brewhouse):
    house.decide("KEG1", "quarantined", hours=400)
    Material.objects.filter(code="KEG50").update(claims=["gluten_free"])
    with refused(ClaimsContradicted, "What some lots are made of contradicts what is claimed of them (1)."):
        house.decide("KEG1", "released", hours=401)
    with pytest.raises(ClaimsContradicted) as caught:
        house.ship("INN", ("KEG1", "COLD", "1 each"), hours=402)
    (fault,) = caught.value.all_faults()
    assert str(fault).startswith(SENTENCE)
    assert fault.field == "lot"
    house.decide("KEG1", "on_hold", hours=401)


def test_in_a_bulk_decision_the_lot_that_contradicts_is_named(house: Brewhouse):
    Material.objects.filter(code="KEG50").update(claims=["gluten_free"])
    lots = [SeenLot(house.lot("H1")), SeenLot(house.lot("KEG1"))]
    with pytest.raises(NotDecided) as caught:
        decide_on_lots(lots=lots, disposition="released", reason="x", happened_at=at(400), **house.by("quality"))
    (fault,) = caught.value.all_faults()
    assert (fault.field, str(fault).startswith(SENTENCE)) == ("lots[1].lot", True)


UNKNOWN = "Lot KEG1 cannot be called gluten-free: what Pilsner malt carries was never recorded."


def test_a_malt_that_nobody_looked_at_lets_nothing_be_called_gluten_free(house: Brewhouse):
    Material.objects.filter(code="PILS").update(allergens=[])
    keg = house.material("KEG50")
    facts = {"material": keg, "version": version_of(keg)}
    with pytest.raises(ClaimsContradicted) as caught:
        set_up_material(**facts, changes={"claims": ["gluten_free"]}, **house.by("quality"))
    (fault,) = caught.value.all_faults()
    assert (fault.code, str(fault).startswith(UNKNOWN)) == ("claim_not_known", True)
    Material.objects.filter(code="KEG50").update(claims=["gluten_free", "vegan"])
    house.decide("KEG1", "quarantined", hours=400)
    with pytest.raises(ClaimsContradicted):
        house.decide("KEG1", "released", hours=401)
    pils = {"material": house.material("PILS"), "version": version_of(house.material("PILS"))}
    set_up_material(**pils, changes={"claims": ["gluten_free"]}, **house.by("quality"))
    house.decide("KEG1", "released", hours=402)


def test_what_nobody_knows_is_shipped_only_by_who_may_override(house: Brewhouse):
    Material.objects.filter(code="PILS").update(allergens=[])
    Material.objects.filter(code="KEG50").update(claims=["gluten_free"])

    def ship(role: str, override_reason: str) -> Event:
        return dispatch.ship(
            customer=house.party("INN"),
            note_number="S9",
            parts=house.parts([("KEG1", "COLD", "1 each")]),
            happened_at=at(402),
            override_reason=override_reason,
            **house.by(role),
        )

    with pytest.raises(ClaimsContradicted) as caught:
        ship("quality", "")
    assert str(caught.value.all_faults()[0]).startswith(UNKNOWN)
    with pytest.raises(NotAllowed):
        ship("receiving", "assayed below 20 mg/kg")
    assert ship("quality", "assayed below 20 mg/kg").override_reason == "assayed below 20 mg/kg"
    Material.objects.filter(code="PILS").update(allergens=["barley"])
    with pytest.raises(ClaimsContradicted):
        ship("quality", "assayed below 20 mg/kg")


def test_a_claim_that_stock_contradicts_is_not_made(house: Brewhouse):
    keg = house.material("KEG50")
    facts = {"material": keg, "version": version_of(keg)}
    with pytest.raises(ClaimsContradicted) as caught:
        set_up_material(**facts, changes={"claims": ["gluten_free"]}, **house.by("quality"))
    assert str(caught.value.all_faults()[0]).startswith(SENTENCE)
    assert house.material("KEG50").claims == []
    set_up_material(**facts, changes={"claims": ["vegan"]}, **house.by("quality"))
    assert house.material("KEG50").claims == ["vegan"]
