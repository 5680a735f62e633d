"""Moves: a lot lies elsewhere and stays what it is, unless a mixed silo takes it up."""

import pytest

from brewery.kernel.errors import InvalidInput
from inventory.models import Event
from inventory.services.moves import move_stock
from inventory.services.refusals import (
    BeforeItsLot,
    CrossContact,
    InTheFuture,
    LotNotReleased,
    NotEnoughThen,
    NotEnoughThere,
    VesselOccupied,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


def pour(house: Brewhouse, lot: str, from_: str, to: str, quantity: str, contents: str = "", hours: float = 5) -> Event:
    """Move stock, naming the new contents of a mixed silo."""
    return move_stock(
        lot=house.lot(lot),
        from_location=house.place(from_),
        to_location=house.place(to),
        quantity_micro=micro(quantity),
        contents_code=contents,
        happened_at=at(hours),
        **house.by("receiving"),
    )


@built_once
def stocked(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


def test_a_part_of_a_lot_lies_elsewhere_and_the_rest_stays(stocked: Brewhouse):
    event = stocked.move("H1", "STORE", "COLD", "7.5 kg", hours=1)
    assert event.kind == Event.Kind.MOVE
    assert postings(event) == {("H1", "STORE", "COLD", "7.5 kg")}
    assert links(event) == set()
    assert (stocked.held("H1", "STORE"), stocked.held("H1", "COLD")) == (micro("12.5 kg"), micro("7.5 kg"))


@pytest.mark.parametrize("disposition", ["quarantined", "on_hold", "rejected"])
def test_a_lot_that_is_not_released_may_be_moved(stocked: Brewhouse, disposition: str):
    stocked.decide("H1", disposition, hours=1)
    stocked.move("H1", "STORE", "COLD", "20 kg", hours=2)
    assert (stocked.held("H1", "STORE"), stocked.held("H1", "COLD")) == (0, micro("20 kg"))


def test_what_is_moved_into_a_mixed_silo_that_holds_something_makes_new_contents(stocked: Brewhouse):
    stocked.deliver("PILS", "M2", "200 kg")
    event = pour(stocked, "M2", "STORE", "SILO1", "150 kg", "MS1")
    assert event.kind == Event.Kind.REFILL
    assert postings(event) == {
        ("M1", "SILO1", "transformed", "1000 kg"),
        ("M2", "STORE", "transformed", "150 kg"),
        ("MS1", "transformed", "SILO1", "1150 kg"),
    }
    assert links(event) == {("M1", "MS1", "ingredient", "1000 kg"), ("M2", "MS1", "ingredient", "150 kg")}
    assert stocked.held("M2", "STORE") == micro("50 kg")


def test_what_comes_back_into_its_own_silo_stays_the_same_lot(stocked: Brewhouse):
    stocked.move("M1", "SILO1", "STORE", "300 kg", hours=1)
    event = stocked.move("M1", "STORE", "SILO1", "100 kg", hours=2)
    assert event.kind == Event.Kind.MOVE
    assert links(event) == set()
    assert stocked.held("M1", "SILO1") == micro("800 kg")


def test_a_lot_on_hold_does_not_mix_into_a_silo(stocked: Brewhouse):
    stocked.deliver("PILS", "M2", "200 kg")
    stocked.decide("M2", "on_hold", hours=1)
    with refused(LotNotReleased, "Lot M2 is on hold, so it cannot be used."):
        pour(stocked, "M2", "STORE", "SILO1", "150 kg", "MS1")


def test_new_contents_of_a_silo_without_a_code_are_refused(stocked: Brewhouse):
    stocked.deliver("PILS", "M2", "200 kg")
    sentence = "contents_code: '' is not valid. Silo 1 still holds lot M1: give the code of the mixed contents."
    with refused(InvalidInput, sentence, field="contents_code"):
        pour(stocked, "M2", "STORE", "SILO1", "150 kg")


def test_more_than_lies_there_is_refused(stocked: Brewhouse):
    sentence = "Dry store holds 20 kg of lot H1; 20.000001 kg was asked for."
    with refused(NotEnoughThere, sentence, field="quantity"):
        stocked.move("H1", "STORE", "COLD", "20.000001 kg", hours=1)


def test_what_lies_elsewhere_does_not_count(stocked: Brewhouse):
    with refused(NotEnoughThere, "Cold store holds 0 kg of lot H1; 1 kg was asked for."):
        stocked.move("H1", "COLD", "STORE", "1 kg", hours=1)


@pytest.mark.parametrize(("from_", "to"), [("FV1", "STORE"), ("STORE", "FV1")])
def test_a_tank_is_neither_filled_nor_emptied_by_a_move(stocked: Brewhouse, from_: str, to: str):
    with refused(WrongPlace, "Fermenter 1 is a fermenter; this needs a store, silo or brink."):
        stocked.move("H1", from_, to, "1 kg", hours=1)


def test_a_brew_is_not_emptied_by_a_move(stocked: Brewhouse):
    stocked.draw(stocked.start_brew("B1", hours=1), ("H1", "STORE", "1 kg"), hours=1)
    name = stocked.place("B1").name
    with refused(WrongPlace, f"{name} is in process; this needs a store, silo or brink.", field="from_location"):
        stocked.move("H1", "B1", "STORE", "1 kg", hours=2)


def test_a_move_to_where_it_lies_is_refused(stocked: Brewhouse):
    sentence = "to_location: 'STORE' is not valid. Choose another place than the first."
    with refused(InvalidInput, sentence, field="to_location"):
        stocked.move("H1", "STORE", "STORE", "1 kg", hours=1)


@pytest.mark.parametrize("quantity", ["0 kg", "-1 kg"])
def test_a_move_of_nothing_is_refused(stocked: Brewhouse, quantity: str):
    sentence = f"quantity: {quantity!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        stocked.move("H1", "STORE", "COLD", quantity, hours=1)


def test_hops_on_top_of_malt_in_a_silo_are_refused(stocked: Brewhouse):
    with refused(CrossContact, "Silo 1 holds Pilsner malt (lot M1); Saaz cannot go in on top of it."):
        stocked.move("H1", "STORE", "SILO1", "1 kg", hours=1)


def test_a_second_yeast_in_a_brink_is_refused(stocked: Brewhouse):
    stocked.deliver("YEAST", "Y2", "5 kg", "BRINK1")
    with refused(VesselOccupied, "Yeast brink 1 holds lot Y2, so lot Y1 cannot go in beside it.", field="location"):
        stocked.move("Y1", "COLD", "BRINK1", "5 kg", hours=1)


def test_a_move_before_the_lot_came_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=5)
    with refused(BeforeItsLot, "Lot H1 was made at 2026-03-02 14:00, after 2026-03-02 13:30.", field="happened_at"):
        brewhouse.move("H1", "STORE", "COLD", "1 kg", hours=4.5)


def test_a_move_in_the_future_is_refused(stocked: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        stocked.move("H1", "STORE", "COLD", "1 kg", hours=24 * 36500)


def test_a_move_told_late_that_leaves_too_little_for_what_came_after_is_refused(stocked: Brewhouse):
    stocked.move("H1", "STORE", "COLD", "15 kg", hours=10)
    stocked.move("H1", "COLD", "STORE", "15 kg", hours=20)
    sentence = "At 2026-03-02 20:00, Dry store would have held 3 kg less than nothing of lot H1."
    with refused(NotEnoughThen, "At 2026-03-02 19:00" + sentence[19:], field="happened_at"):
        stocked.move("H1", "STORE", "BRINK1", "8 kg", hours=9)
    with refused(NotEnoughThen, sentence, field="happened_at"):
        stocked.move("H1", "STORE", "BRINK1", "8 kg", hours=11)


def test_a_move_told_late_that_leaves_enough_is_recorded(stocked: Brewhouse):
    stocked.move("H1", "STORE", "COLD", "15 kg", hours=10)
    stocked.move("H1", "COLD", "STORE", "15 kg", hours=20)
    stocked.move("H1", "STORE", "BRINK1", "5 kg", hours=11)
    assert stocked.held("H1", "STORE") == micro("15 kg")


def test_what_arrives_at_the_same_moment_is_there(stocked: Brewhouse):
    stocked.move("H1", "STORE", "COLD", "15 kg", hours=10)
    stocked.move("H1", "COLD", "BRINK1", "15 kg", hours=10)
    assert stocked.held("H1", "BRINK1") == micro("15 kg")
