"""Filtration: beer becomes filtered beer in another tank; the aid was met, not mixed in."""

import pytest

from brewery.kernel.errors import InvalidInput
from brewery.production.services.refusals import MoreThanTheTankHolds
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotCodeTaken,
    LotNotReleased,
    NotEnoughThere,
    OverCapacity,
    VesselEmpty,
    VesselOccupied,
    WrongMaterial,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    return brewhouse


def test_filtered_beer_is_a_new_lot_that_bears_its_loss(house: Brewhouse):
    event = house.filter("FV1", "BT1", "BB1", "980 L", ("A1", "STORE", "1.5 kg"), loss="20 L", hours=300)
    assert event.kind == Event.Kind.FILTER
    assert postings(event) == {
        ("T1", "FV1", "transformed", "1000 L"),
        ("A1", "STORE", "transformed", "1.5 kg"),
        ("BB1", "transformed", "BT1", "980 L"),
        ("BB1", "transformed", "loss", "20 L"),
    }
    assert links(event) == {("T1", "BB1", "ingredient", "1000 L"), ("A1", "BB1", "carryover", "1.5 kg")}
    beer = house.lot("BB1")
    assert (beer.made_micro, beer.material.code, beer.generation) == (micro("1000 L"), "LAGER", 1)


def test_a_part_of_the_tank_is_filtered_without_aid_or_loss(house: Brewhouse):
    event = house.filter("FV1", "BT1", "BB1", "400 L", hours=300)
    assert postings(event) == {("T1", "FV1", "transformed", "400 L"), ("BB1", "transformed", "BT1", "400 L")}
    assert house.held("T1", "FV1") == micro("600 L")


def test_every_aid_is_linked(house: Brewhouse):
    house.deliver("KIESELGUHR", "A2", "10 kg")
    aids = [("A1", "STORE", "1 kg"), ("A2", "STORE", "2 kg"), ("A1", "STORE", "0.5 kg")]
    event = house.filter("FV1", "BT1", "BB1", "1000 L", *aids, hours=300)
    assert {one for one in links(event) if one[2] == "carryover"} == {
        ("A1", "BB1", "carryover", "1.5 kg"),
        ("A2", "BB1", "carryover", "2 kg"),
    }


def test_an_empty_tank_is_refused(house: Brewhouse):
    with refused(VesselEmpty, "Fermenter 2 holds nothing.", field="vessel"):
        house.filter("FV2", "BT1", "BB1", "1 L", hours=300)


def test_an_occupied_tank_is_refused(house: Brewhouse):
    house.transfer("FV1", "BT1", "100 L", hours=200)
    with refused(VesselOccupied, "Bright tank 1 holds lot T1, so lot BB1 cannot go in beside it.", field="location"):
        house.filter("FV1", "BT1", "BB1", "1 L", hours=300)


@pytest.mark.parametrize(("from_", "to"), [("COLD", "BT1"), ("FV1", "COLD")])
def test_only_tanks_are_filtered_between(house: Brewhouse, from_: str, to: str):
    with refused(WrongPlace, "Cold store is a store; this needs a fermenter or bright tank.", field="vessel"):
        house.filter(from_, to, "BB1", "1 L", hours=300)


def test_more_than_the_tank_holds_is_refused_losses_included(house: Brewhouse):
    sentence = "Fermenter 1 holds 1000 L of lot T1; 1001 L was asked for, losses included."
    with refused(MoreThanTheTankHolds, sentence, field="quantity"):
        house.filter("FV1", "BT1", "BB1", "990 L", loss="11 L", hours=300)


def test_what_is_no_filter_aid_is_refused(house: Brewhouse):
    with refused(WrongMaterial, "H1 is a hop; this needs a filter aid.", field="aids"):
        house.filter("FV1", "BT1", "BB1", "1 L", ("H1", "STORE", "1 kg"), hours=300)


def test_more_aid_than_is_there_is_refused(house: Brewhouse):
    with refused(NotEnoughThere, "Dry store holds 100 kg of lot A1; 101 kg was asked for.", field="quantity"):
        house.filter("FV1", "BT1", "BB1", "1 L", ("A1", "STORE", "101 kg"), hours=300)


@pytest.mark.parametrize(
    ("quantity", "loss", "aid", "wrong"),
    [
        ("0 L", "0 L", "1 kg", "0 L"),
        ("-1 L", "0 L", "1 kg", "-1 L"),
        ("5 L", "-1 L", "1 kg", "-1 L"),
        ("1 L", "0 L", "0 kg", "0 kg"),
    ],
)
def test_nothing_and_less_than_nothing_is_refused(house: Brewhouse, quantity: str, loss: str, aid: str, wrong: str):
    sentence = f"quantity: {wrong!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        house.filter("FV1", "BT1", "BB1", quantity, ("A1", "STORE", aid), loss=loss, hours=300)


def test_more_than_the_other_tank_takes_is_refused(house: Brewhouse):
    house.count("T1", "FV1", "4100 L", hours=200, reason="gauge")
    with refused(OverCapacity, "Fermenter 2 takes 4000 L; with this it would hold 4001 L.", field="quantity"):
        house.filter("FV1", "FV2", "BB1", "4001 L", hours=300)


@pytest.mark.parametrize("held", ["T1", "A1"])
def test_held_beer_and_held_aid_are_not_used(house: Brewhouse, held: str):
    house.decide(held, "on_hold", hours=299)
    with refused(LotNotReleased, f"Lot {held} is on hold, so it cannot be used.", field="lot"):
        house.filter("FV1", "BT1", "BB1", "1 L", ("A1", "STORE", "1 kg"), hours=300)


def test_a_taken_code_is_refused(house: Brewhouse):
    with refused(LotCodeTaken, "Lot code T1 is in use already.", field="code"):
        house.filter("FV1", "BT1", "T1", "1 L", hours=300)


def test_a_filtration_before_its_beer_was_made_is_refused(house: Brewhouse):
    with refused(BeforeItsLot, "Lot T1 was made at 2026-03-02 20:00, after 2026-03-02 19:30.", field="happened_at"):
        house.filter("FV1", "BT1", "BB1", "1 L", hours=10.5)


def test_a_filtration_in_the_future_is_refused(house: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.filter("FV1", "BT1", "BB1", "1 L", hours=24 * 36500)
