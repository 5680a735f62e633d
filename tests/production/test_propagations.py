"""Propagation: from a slope or pack by steps to yeast that is pitched as the first generation."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.production.queries.lineage import lineage_of
from brewery.production.services.propagations import NoOrigin
from brewery.production.services.tanks import highest_generation
from inventory.models import Balance, Event, Lot
from inventory.queries.audits import run_audits
from inventory.services.refusals import NotEnoughThere, NothingToDo, OutputInUse, WrongMaterial
from tests.brewhouse import Brewhouse
from tests.ledger import links, postings, refused
from tests.standing import built_once
from traceability.queries.mass_balance import mass_balance


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Wort W1 lies in FV1, a laboratory's pack Y1 of generation 1 in the cold store."""
    brewhouse.stock_up()
    brew = brewhouse.start_brew("B1", hours=1)
    brewhouse.draw(brew, ("M1", "SILO1", "200 kg"), hours=1)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    return brewhouse


def grow(house: Brewhouse, mother: str, daughter: str, hours: float, **other: Any) -> Event:
    asked = {"medium": [("W1", "FV1", "20 L")], "amount": "1 kg"} | other
    return house.propagate(daughter, (mother, "COLD", asked["amount"]), *asked["medium"], hours=hours)


def test_a_step_is_an_event_of_its_own_of_mother_and_wort(house: Brewhouse):
    event = grow(house, "Y1", "P1", 20)
    assert event.kind == Event.Kind.PROPAGATE
    assert postings(event) == {
        ("Y1", "COLD", "transformed", "1 kg"),
        ("W1", "FV1", "transformed", "20 L"),
        ("P1", "transformed", "COLD", "4 kg"),
    }
    assert links(event) == {
        ("Y1", "P1", "ingredient", "1 kg"),
        ("Y1", "P1", "culture", "0 kg"),
        ("W1", "P1", "ingredient", "20 L"),
    }


def test_step_by_step_it_stays_the_first_generation_and_its_crop_is_the_second(house: Brewhouse):
    grow(house, "Y1", "P1", 20)
    grow(house, "P1", "P2", 44, amount="4 kg")
    house.pitch("FV1", "T1", ("P2", "COLD", "4 kg"), hours=60)
    house.harvest("FV1", "20 L", "Y2", "22 kg", hours=200)
    assert [house.lot(code).generation for code in ("P1", "P2", "T1", "Y2")] == [1, 1, 1, 2]
    assert [culture.lot.code for culture in lineage_of([house.lot("P2")])] == ["Y1", "P1", "P2", "Y2"]
    assert mass_balance(house.lot("M1")).closes
    assert [finding for _, findings in run_audits() for finding in findings] == []


def test_a_propagation_that_is_reversed_leaves_the_ledger_as_before(house: Brewhouse):
    def held() -> set[tuple[int, int, int]]:
        rows = Balance.objects.filter(location__party=None).exclude(quantity_micro=0)
        return set(rows.values_list("lot", "location", "quantity_micro"))

    before = held()
    event = grow(house, "Y1", "P1", 20)
    house.reverse(event)
    assert held() == before


def test_it_is_not_reversed_while_the_next_step_stands(house: Brewhouse):
    first = grow(house, "Y1", "P1", 20)
    grow(house, "P1", "P2", 44, amount="4 kg")
    with pytest.raises(OutputInUse):
        house.reverse(first)


def test_a_crop_is_no_origin(house: Brewhouse):
    house.deliver("YEAST", "Y5", "20 kg", "COLD", generation=5)
    sentence = "Lot Y5 is of generation 5: a propagation begins with a slope, a pack or a step before."
    with refused(NoOrigin, sentence, field="mother"):
        grow(house, "Y5", "P1", 20)


def test_what_yeast_does_not_grow_in_is_refused(house: Brewhouse):
    sentence = "H1 is a hop; this needs wort, malt, an adjunct, water or a salt."
    with refused(WrongMaterial, sentence, field="medium"):
        grow(house, "Y1", "P1", 20, medium=[("H1", "STORE", "1 kg")])
    with refused(NothingToDo, "The propagation has no lines.", field="lines"):
        grow(house, "Y1", "P1", 20, medium=[])


def test_more_wort_than_the_tank_holds_is_refused(house: Brewhouse):
    with refused(NotEnoughThere, "Fermenter 1 holds 1000 L of lot W1; 1001 L was asked for.", field="quantity"):
        grow(house, "Y1", "P1", 20, medium=[("W1", "FV1", "1001 L")])


@given(st.lists(st.integers(1, 40), min_size=1, max_size=5))
def test_a_blend_is_of_the_highest_generation_in_it(generations: list[int]):
    assert highest_generation(*(Lot(generation=one) for one in generations), Lot()) == max(generations)
