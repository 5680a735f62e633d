"""Harvests: the next generation of every yeast that was at work, with the beer that it carries away."""

import pytest

from brewery.kernel.errors import InvalidInput
from brewery.production.services.refusals import MoreThanTheTankHolds, NoYeastInIt
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotCodeTaken,
    LotNotReleased,
    VesselEmpty,
    VesselOccupied,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1, pitched with Y1 of generation 1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    return brewhouse


def test_a_harvest_is_a_yeast_lot_that_carries_beer_away(house: Brewhouse):
    event = house.harvest("FV1", "20 L", "Y2", "22 kg", hours=100)
    assert event.kind == Event.Kind.HARVEST
    assert postings(event) == {
        ("T1", "FV1", "transformed", "20 L"),
        ("Y2", "transformed", "BRINK1", "22 kg"),
    }
    assert links(event) == {("T1", "Y2", "carryover", "20 L"), ("Y1", "Y2", "culture", "0 kg")}
    yeast = house.lot("Y2")
    assert (yeast.material.code, yeast.generation, yeast.made_micro) == ("YEAST", 2, micro("22 kg"))
    assert house.held("T1", "FV1") == micro("980 L")


# Brewing check 34: the crop of a tank that was pitched with generations 3 and 5 is generation 6; a definition.
def test_generations_3_and_5_give_generation_6(house: Brewhouse):
    for generation in (3, 5):
        house.deliver("YEAST", f"Y{generation}", "20 kg", "COLD", generation=generation)
    brew = house.start_brew("B2", hours=20)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=20)
    house.knock_out(brew, "W2", {"FV2": "500 L"}, hours=28)
    house.pitch("FV2", "T2", ("Y3", "COLD", "5 kg"), ("Y5", "COLD", "5 kg"), hours=29)
    event = house.harvest("FV2", "10 L", "Y6", "11 kg", hours=100)
    assert house.lot("Y6").generation == 6
    assert links(event) == {
        ("T2", "Y6", "carryover", "10 L"),
        ("Y3", "Y6", "culture", "0 kg"),
        ("Y5", "Y6", "culture", "0 kg"),
    }


def test_each_crop_is_one_generation_older_than_the_last(house: Brewhouse):
    house.harvest("FV1", "20 L", "Y2", "22 kg", hours=100)
    brew = house.start_brew("B2", hours=101)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=101)
    house.knock_out(brew, "W2", {"FV2": "500 L"}, hours=102)
    house.pitch("FV2", "T2", ("Y2", "BRINK1", "22 kg"), hours=103)
    house.clean("BRINK1", hours=104)
    house.harvest("FV2", "10 L", "Y3", "11 kg", hours=150)
    assert (house.lot("T2").generation, house.lot("Y3").generation) == (2, 3)


def test_two_crops_of_one_tank_are_of_one_generation(house: Brewhouse):
    house.harvest("FV1", "20 L", "Y2", "22 kg", hours=100)
    house.harvest("FV1", "20 L", "Y3", "15 kg", "COLD", hours=101)
    assert (house.lot("Y2").generation, house.lot("Y3").generation) == (2, 2)


def test_dry_hopped_beer_remembers_its_yeast(house: Brewhouse):
    house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=90)
    event = house.harvest("FV1", "20 L", "Y2", "22 kg", hours=100)
    assert links(event) == {("D1", "Y2", "carryover", "20 L"), ("Y1", "Y2", "culture", "0 kg")}


def test_a_blend_has_the_yeasts_of_both(house: Brewhouse):
    house.harvest("FV1", "20 L", "Y2", "22 kg", hours=40)
    brew = house.start_brew("B2", hours=41)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=41)
    house.knock_out(brew, "W2", {"FV2": "500 L"}, hours=42)
    house.pitch("FV2", "T2", ("Y2", "BRINK1", "5 kg"), hours=43)
    house.transfer("FV1", "FV2", "100 L", contents="T3", kind="blend", hours=60)
    event = house.harvest("FV2", "10 L", "Y3", "11 kg", "COLD", hours=100)
    assert links(event) == {
        ("T3", "Y3", "carryover", "10 L"),
        ("Y1", "Y3", "culture", "0 kg"),
        ("Y2", "Y3", "culture", "0 kg"),
    }
    assert house.lot("Y3").generation == 3


def test_a_crop_is_of_the_strain_of_its_oldest_generation(house: Brewhouse):
    house.harvest("FV1", "1000 L", "Y2", "1 kg", hours=100)
    assert (house.lot("Y2").material.code, house.held("T1", "FV1")) == ("YEAST", 0)


def test_wort_that_was_never_pitched_has_no_yeast(house: Brewhouse):
    brew = house.start_brew("B2", hours=20)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=20)
    house.knock_out(brew, "W2", {"FV2": "500 L"}, hours=28)
    sentence = "Lot W2 in Fermenter 2 was never pitched, so no yeast can be harvested from it."
    with refused(NoYeastInIt, sentence, field="vessel"):
        house.harvest("FV2", "10 L", "Y2", "11 kg", hours=100)


def test_a_pitch_that_was_reversed_leaves_no_yeast(house: Brewhouse):
    house.reverse(Event.objects.get(kind=Event.Kind.PITCH))
    sentence = "Lot W1 in Fermenter 1 was never pitched, so no yeast can be harvested from it."
    with refused(NoYeastInIt, sentence):
        house.harvest("FV1", "10 L", "Y2", "11 kg", hours=100)


def test_an_empty_tank_is_refused(house: Brewhouse):
    with refused(VesselEmpty, "Fermenter 2 holds nothing.", field="vessel"):
        house.harvest("FV2", "10 L", "Y2", "11 kg", hours=100)


@pytest.mark.parametrize(("place", "words"), [("FV2", "Fermenter 2 is a fermenter"), ("SILO1", "Silo 1 is a silo")])
def test_yeast_goes_into_a_store_or_brink(house: Brewhouse, place: str, words: str):
    with refused(WrongPlace, f"{words}; this needs a store or brink.", field="location"):
        house.harvest("FV1", "10 L", "Y2", "11 kg", place, hours=100)


def test_yeast_does_not_go_on_top_of_another_in_a_brink(house: Brewhouse):
    house.move("Y1", "COLD", "BRINK1", "1 kg", hours=90)
    with refused(VesselOccupied, "Yeast brink 1 holds lot Y1, so lot Y2 cannot go in beside it.", field="location"):
        house.harvest("FV1", "10 L", "Y2", "11 kg", hours=100)


def test_more_beer_than_the_tank_holds_is_refused(house: Brewhouse):
    sentence = "Fermenter 1 holds 1000 L of lot T1; 1001 L was asked for, losses included."
    with refused(MoreThanTheTankHolds, sentence, field="quantity"):
        house.harvest("FV1", "1001 L", "Y2", "11 kg", hours=100)


@pytest.mark.parametrize(("beer", "yeast", "field"), [("0 L", "1 kg", "beer_quantity"), ("1 L", "0 kg", "quantity")])
def test_a_harvest_of_nothing_is_refused(house: Brewhouse, beer: str, yeast: str, field: str):
    told = beer if field == "beer_quantity" else yeast
    sentence = f"{field}: {told!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field=field):
        house.harvest("FV1", beer, "Y2", yeast, hours=100)


def test_held_beer_is_not_harvested_from(house: Brewhouse):
    house.decide("T1", "on_hold", hours=99)
    with refused(LotNotReleased, "Lot T1 is on hold, so it cannot be used.", field="lot"):
        house.harvest("FV1", "10 L", "Y2", "11 kg", hours=100)


def test_a_taken_code_is_refused(house: Brewhouse):
    with refused(LotCodeTaken, "Lot code Y1 is in use already.", field="code"):
        house.harvest("FV1", "10 L", "Y1", "11 kg", hours=100)


def test_a_harvest_before_the_pitch_is_refused(house: Brewhouse):
    with refused(BeforeItsLot, "Lot T1 was made at 2026-03-02 20:00, after 2026-03-02 19:30.", field="happened_at"):
        house.harvest("FV1", "10 L", "Y2", "11 kg", hours=10.5)


def test_a_harvest_in_the_future_is_refused(house: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.harvest("FV1", "10 L", "Y2", "11 kg", hours=24 * 36500)
