"""Additions: dry hops, finings, salts and yeast make new contents of a tank; what left before has none of them."""

import pytest

from brewery.kernel.access import Right
from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.production.services.additions import add_to_tank
from brewery.science.units import format_micro
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotCodeTaken,
    LotNotReleased,
    NotEnoughThere,
    NothingToDo,
    OverCapacity,
    VesselEmpty,
    VesselOccupiedThen,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once
from traceability.queries.graph import Direction
from traceability.queries.trace import trace


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    return brewhouse


def add_with(house: Brewhouse, role: str = "brewing", **facts: object) -> Event:
    return add_to_tank(
        vessel=house.place("FV1"),
        contents_code="D1",
        additions=house.parts([("H2", "STORE", "3 kg")]),
        happened_at=at(100),
        **facts,
        **house.by(role),
    )


def test_contents_and_addition_become_new_contents_of_the_same_volume(house: Brewhouse):
    event = house.add("FV1", "D1", ("H2", "STORE", "3 kg"), ("F1", "COLD", "2 L"), hours=100)
    assert event.kind == Event.Kind.ADD
    assert postings(event) == {
        ("T1", "FV1", "transformed", "1000 L"),
        ("H2", "STORE", "transformed", "3 kg"),
        ("F1", "COLD", "transformed", "2 L"),
        ("D1", "transformed", "FV1", "1000 L"),
    }
    assert links(event) == {
        ("T1", "D1", "ingredient", "1000 L"),
        ("H2", "D1", "ingredient", "3 kg"),
        ("F1", "D1", "ingredient", "2 L"),
    }
    assert (house.lot("D1").material.code, house.lot("D1").generation) == ("LAGER", 1)


def test_the_same_hops_from_two_stores_are_one_link(house: Brewhouse):
    house.move("H2", "STORE", "COLD", "1 kg", hours=99)
    event = house.add("FV1", "D1", ("H2", "STORE", "3 kg"), ("H2", "COLD", "1 kg"), hours=100)
    assert links(event) == {("T1", "D1", "ingredient", "1000 L"), ("H2", "D1", "ingredient", "4 kg")}


@pytest.mark.parametrize("volume", ["1002 L", "985 L"])
def test_a_volume_that_was_read_afterwards_is_that_of_the_new_contents(house: Brewhouse, volume: str):
    event = add_with(house, volume_after_micro=micro(volume))
    assert ("D1", "transformed", "FV1", volume) in postings(event)
    assert ("T1", "D1", "ingredient", "1000 L") in links(event)


def test_what_left_the_tank_before_has_no_dry_hops(house: Brewhouse):
    house.transfer("FV1", "FV2", "400 L", hours=99)
    house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
    assert (house.held("T1", "FV2"), house.held("D1", "FV1")) == (micro("400 L"), micro("600 L"))
    hops = house.lot("H2").pk
    assert hops not in trace(house.lot("T1"), Direction.BACK).amounts
    assert trace(house.lot("D1"), Direction.BACK).amounts[hops] == pytest.approx(micro("3 kg"), rel=1e-9)
    assert trace(house.lot("H2"), Direction.FORWARD).reached == [house.lot("D1").pk]


def test_what_leaves_the_tank_later_has_its_share_of_them(house: Brewhouse):
    house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
    house.transfer("FV1", "FV2", "400 L", hours=101)
    quarter = trace(house.lot("D1"), Direction.BACK, quantity_micro=micro("250 L"))
    assert quarter.amounts[house.lot("H2").pk] == pytest.approx(micro("0.75 kg"), rel=1e-9)


def test_dry_hops_told_after_a_part_has_left_are_not_put_before_it(house: Brewhouse):
    house.transfer("FV1", "FV2", "400 L", hours=100)
    sentence = "At 2026-03-06 12:00, Fermenter 1 would have held lots T1 and D1 at once."
    with refused(VesselOccupiedThen, sentence, field="happened_at"):
        house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=99)
    house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)


def test_yeast_among_the_additions_is_at_work_from_then_on(house: Brewhouse):
    house.deliver("YEAST", "Y5", "5 kg", "COLD", hours=50, generation=5)
    house.add("FV1", "D1", ("Y5", "COLD", "1 kg"), hours=100)
    assert house.lot("D1").generation == 5
    event = house.harvest("FV1", "10 L", "Y6", "11 kg", hours=150)
    assert house.lot("Y6").generation == 6
    assert {("Y1", "Y6", "culture", "0 kg"), ("Y5", "Y6", "culture", "0 kg")} < links(event)


def test_an_empty_tank_is_refused(house: Brewhouse):
    with refused(VesselEmpty, "Fermenter 2 holds nothing.", field="vessel"):
        house.add("FV2", "D1", ("H2", "STORE", "3 kg"), hours=100)


def test_an_addition_to_a_store_is_refused(house: Brewhouse):
    with refused(WrongPlace, "Cold store is a store; this needs a fermenter or bright tank.", field="vessel"):
        house.add("COLD", "D1", ("H2", "STORE", "3 kg"), hours=100)


def test_nothing_is_added_out_of_a_tank(house: Brewhouse):
    with refused(WrongPlace, "Fermenter 1 is a fermenter; this needs a store, silo or brink.", field="location"):
        house.add("FV1", "D1", ("T1", "FV1", "3 L"), hours=100)


def test_an_addition_of_no_lots_is_refused(house: Brewhouse):
    with refused(NothingToDo, "The addition has no lines.", field="lines"):
        house.add("FV1", "D1", hours=100)


@pytest.mark.parametrize("quantity", ["0 kg", "-1 kg"])
def test_an_addition_of_nothing_is_refused(house: Brewhouse, quantity: str):
    sentence = f"quantity: {quantity!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        house.add("FV1", "D1", ("H2", "STORE", quantity), hours=100)


@pytest.mark.parametrize("volume_micro", [0, -1])
def test_a_tank_that_would_be_empty_afterwards_is_refused(house: Brewhouse, volume_micro: int):
    told = f"{format_micro(volume_micro, 'L')} L"
    sentence = f"volume_after: {told!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="volume_after"):
        add_with(house, volume_after_micro=volume_micro)


def test_more_than_is_there_is_refused(house: Brewhouse):
    with refused(NotEnoughThere, "Dry store holds 20 kg of lot H2; 21 kg was asked for.", field="quantity"):
        house.add("FV1", "D1", ("H2", "STORE", "21 kg"), hours=100)


def test_a_volume_that_the_tank_does_not_take_is_refused(house: Brewhouse):
    with refused(OverCapacity, "Fermenter 1 takes 4000 L; with this it would hold 4001 L.", field="quantity"):
        add_with(house, volume_after_micro=micro("4001 L"))


@pytest.mark.parametrize("held", ["H2", "T1"])
def test_held_hops_and_held_beer_are_not_used(house: Brewhouse, held: str):
    house.decide(held, "on_hold", hours=99)
    with refused(LotNotReleased, f"Lot {held} is on hold, so it cannot be used.", field="lot"):
        add_with(house)


def test_an_override_takes_the_right_and_is_on_record(house: Brewhouse):
    house.decide("H2", "on_hold", hours=99)
    sentence = f"brewing may not do this: it needs the right “{Right.OVERRIDE}”."
    with refused(NotAllowed, sentence, field="override_reason"):
        add_with(house, override_reason="smells fine")
    assert add_with(house, "quality", override_reason="smells fine").override_reason == "smells fine"


def test_a_taken_code_is_refused(house: Brewhouse):
    with refused(LotCodeTaken, "Lot code T1 is in use already.", field="code"):
        house.add("FV1", "T1", ("H2", "STORE", "3 kg"), hours=100)


def test_an_addition_before_the_beer_was_there_is_refused(house: Brewhouse):
    with refused(BeforeItsLot, "Lot T1 was made at 2026-03-02 20:00, after 2026-03-02 19:30.", field="happened_at"):
        house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=10.5)


def test_an_addition_in_the_future_is_refused(house: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=24 * 36500)
