"""Pitching: wort and yeast become beer under a new code, in the same tank and of the same volume."""

import pytest

from brewery.kernel.errors import InvalidInput
from brewery.production.services.pitches import pitch
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotCodeTaken,
    LotNotReleased,
    NotEnoughThere,
    NothingToDo,
    VesselEmpty,
    WrongMaterial,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of wort W1 lie in FV1; yeast Y1 of generation 1, Y3 of 3 and Y5 of 5 in the cold store."""
    brewhouse.stock_up()
    brew = brewhouse.start_brew("B1", hours=1)
    brewhouse.draw(brew, ("M1", "SILO1", "200 kg"), hours=1)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    brewhouse.deliver("YEAST", "Y3", "20 kg", "COLD", generation=3)
    brewhouse.deliver("YEAST", "Y5", "20 kg", "COLD", generation=5)
    return brewhouse


def test_wort_and_yeast_become_beer(house: Brewhouse):
    event = house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=9)
    assert event.kind == Event.Kind.PITCH
    assert postings(event) == {
        ("W1", "FV1", "transformed", "1000 L"),
        ("Y1", "COLD", "transformed", "10 kg"),
        ("T1", "transformed", "FV1", "1000 L"),
    }
    assert links(event) == {("W1", "T1", "ingredient", "1000 L"), ("Y1", "T1", "ingredient", "10 kg")}
    beer = house.lot("T1")
    assert (beer.material.code, beer.made_micro, beer.generation) == ("LAGER", micro("1000 L"), 1)


def test_the_beer_bears_the_highest_generation_pitched(house: Brewhouse):
    event = house.pitch("FV1", "T1", ("Y5", "COLD", "5 kg"), ("Y3", "COLD", "5 kg"), hours=9)
    assert links(event) == {
        ("W1", "T1", "ingredient", "1000 L"),
        ("Y3", "T1", "ingredient", "5 kg"),
        ("Y5", "T1", "ingredient", "5 kg"),
    }
    assert house.lot("T1").generation == 5


def test_a_second_pitch_makes_a_new_lot_and_never_lowers_the_generation(house: Brewhouse):
    house.pitch("FV1", "T1", ("Y5", "COLD", "5 kg"), hours=9)
    event = house.pitch("FV1", "T2", ("Y3", "COLD", "5 kg"), hours=33)
    assert links(event) == {("T1", "T2", "ingredient", "1000 L"), ("Y3", "T2", "ingredient", "5 kg")}
    assert house.lot("T2").generation == 5


def test_an_empty_tank_is_refused(house: Brewhouse):
    with refused(VesselEmpty, "Fermenter 2 holds nothing.", field="vessel"):
        house.pitch("FV2", "T1", ("Y1", "COLD", "10 kg"), hours=9)


def test_a_pitch_into_a_store_is_refused(house: Brewhouse):
    with refused(WrongPlace, "Cold store is a store; this needs a fermenter or bright tank.", field="vessel"):
        house.pitch("COLD", "T1", ("Y1", "COLD", "10 kg"), hours=9)


def test_a_pitch_without_yeast_is_refused(house: Brewhouse):
    with refused(NothingToDo, "The pitch has no lines.", field="lines"):
        house.pitch("FV1", "T1", hours=9)


def test_only_yeast_is_pitched(house: Brewhouse):
    with refused(WrongMaterial, "H1 is a hop; this needs yeast.", field="yeasts"):
        house.pitch("FV1", "T1", ("H1", "STORE", "1 kg"), hours=9)


def test_only_a_beer_comes_of_it(house: Brewhouse):
    yeasts = house.parts([("Y1", "COLD", "10 kg")])
    facts = {"vessel": house.place("FV1"), "beer": house.material("WORT"), "happened_at": at(9), "yeasts": yeasts}
    with refused(WrongMaterial, "Lager wort is a wort; this needs a beer.", field="beer"):
        pitch(contents_code="T1", **facts, **house.by("brewing"))


def test_what_is_neither_wort_nor_beer_is_not_pitched(house: Brewhouse):
    house.count("H1", "FV2", "1 kg", hours=8, reason="found in the tank")
    with refused(WrongMaterial, "H1 is a hop; this needs wort or beer.", field="vessel"):
        house.pitch("FV2", "T1", ("Y1", "COLD", "10 kg"), hours=9)


def test_more_yeast_than_is_there_is_refused(house: Brewhouse):
    with refused(NotEnoughThere, "Cold store holds 50 kg of lot Y1; 51 kg was asked for.", field="quantity"):
        house.pitch("FV1", "T1", ("Y1", "COLD", "51 kg"), hours=9)


def test_no_yeast_at_all_is_refused(house: Brewhouse):
    sentence = "quantity: '0 kg' is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        house.pitch("FV1", "T1", ("Y1", "COLD", "0 kg"), hours=9)


@pytest.mark.parametrize("held", ["Y1", "W1"])
def test_held_yeast_and_held_wort_are_not_pitched(house: Brewhouse, held: str):
    house.decide(held, "on_hold", hours=8.5)
    with refused(LotNotReleased, f"Lot {held} is on hold, so it cannot be used.", field="lot"):
        house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=9)


def test_a_taken_code_is_refused(house: Brewhouse):
    with refused(LotCodeTaken, "Lot code W1 is in use already.", field="code"):
        house.pitch("FV1", "W1", ("Y1", "COLD", "10 kg"), hours=9)


def test_a_pitch_before_knock_out_is_refused(house: Brewhouse):
    with refused(BeforeItsLot, "Lot W1 was made at 2026-03-02 17:00, after 2026-03-02 16:00.", field="happened_at"):
        house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=7)


def test_a_pitch_in_the_future_is_refused(house: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=24 * 36500)
