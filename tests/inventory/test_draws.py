"""Draws and returns: parts of lots lie in a brew or run, and what is left over lies in stock again."""

import pytest

from brewery.kernel.access import Right
from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.production.models import Brew
from brewery.production.services.work import draw_for
from inventory.models import Event
from inventory.services import draws
from inventory.services.refusals import (
    BeforeItsLot,
    CrossContact,
    InTheFuture,
    LotNotReleased,
    NotEnoughThen,
    NotEnoughThere,
    NothingToDo,
    VesselOccupied,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def stocked(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


@built_once
def brew(stocked: Brewhouse) -> Brew:
    return stocked.start_brew("B1", hours=1)


def test_all_parts_of_a_draw_lie_in_the_brew(stocked: Brewhouse, brew: Brew):
    event = stocked.draw(brew, ("M1", "SILO1", "200 kg"), ("H1", "STORE", "2.5 kg"), hours=2)
    assert event.kind == Event.Kind.DRAW
    assert postings(event) == {("M1", "SILO1", "B1", "200 kg"), ("H1", "STORE", "B1", "2.5 kg")}
    assert links(event) == set()
    assert (stocked.held("M1", "SILO1"), stocked.held("M1", "B1")) == (micro("800 kg"), micro("200 kg"))


def test_one_lot_from_two_places_is_drawn_from_both(stocked: Brewhouse, brew: Brew):
    stocked.move("H1", "STORE", "COLD", "5 kg", hours=1)
    event = stocked.draw(brew, ("H1", "STORE", "15 kg"), ("H1", "COLD", "5 kg"), hours=2)
    assert postings(event) == {("H1", "STORE", "B1", "15 kg"), ("H1", "COLD", "B1", "5 kg")}


def test_the_same_part_twice_adds_up(stocked: Brewhouse, brew: Brew):
    event = stocked.draw(brew, ("H1", "STORE", "1 kg"), ("H1", "STORE", "2 kg"), hours=2)
    assert postings(event) == {("H1", "STORE", "B1", "3 kg")}


def test_the_last_gram_is_drawn(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("H1", "STORE", "20 kg"), hours=2)
    assert stocked.held("H1", "STORE") == 0


def test_what_is_left_over_lies_in_stock_again(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("M1", "SILO1", "200 kg"), ("H1", "STORE", "2 kg"), hours=2)
    event = stocked.bring_back(brew, ("M1", "SILO1", "20 kg"), ("H1", "COLD", "0.5 kg"), hours=3)
    assert event.kind == Event.Kind.RETURN_TO_STOCK
    assert postings(event) == {("M1", "B1", "SILO1", "20 kg"), ("H1", "B1", "COLD", "0.5 kg")}
    assert stocked.held("M1", "B1") == micro("180 kg")


def test_a_lot_that_was_held_after_its_draw_may_come_back(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("H1", "STORE", "2 kg"), hours=2)
    stocked.decide("H1", "on_hold", hours=3)
    stocked.bring_back(brew, ("H1", "STORE", "2 kg"), hours=4)
    assert stocked.held("H1", "STORE") == micro("20 kg")


@pytest.mark.parametrize(
    ("disposition", "words"), [("quarantined", "quarantined"), ("on_hold", "on hold"), ("rejected", "rejected")]
)
def test_a_lot_that_is_not_released_is_not_drawn(stocked: Brewhouse, brew: Brew, disposition: str, words: str):
    stocked.decide("H1", disposition, hours=2)
    with refused(LotNotReleased, f"Lot H1 is {words}, so it cannot be used.", field="lot"):
        stocked.draw(brew, ("M1", "SILO1", "200 kg"), ("H1", "STORE", "2 kg"), hours=3)


def overriding(house: Brewhouse, brew: Brew, role: str) -> Event:
    return draw_for(
        work=brew,
        parts=house.parts([("H1", "STORE", "2 kg")]),
        happened_at=at(3),
        override_reason="retest passed by telephone",
        **house.by(role),
    )


def test_an_override_with_the_right_is_on_record(stocked: Brewhouse, brew: Brew):
    stocked.decide("H1", "on_hold", hours=2)
    event = overriding(stocked, brew, "quality")
    assert postings(event) == {("H1", "STORE", "B1", "2 kg")}
    assert event.override_reason == "retest passed by telephone"


def test_an_override_without_the_right_is_refused(stocked: Brewhouse, brew: Brew):
    stocked.decide("H1", "on_hold", hours=2)
    assert not stocked.people["brewing"].has_right(Right.OVERRIDE)
    sentence = "brewing may not do this: it needs the right “override_refusals”."
    with refused(NotAllowed, sentence, field="override_reason"):
        overriding(stocked, brew, "brewing")


def test_one_part_too_much_refuses_the_whole_draw(stocked: Brewhouse, brew: Brew):
    with refused(NotEnoughThere, "Dry store holds 20 kg of lot H1; 21 kg was asked for.", field="quantity"):
        stocked.draw(brew, ("M1", "SILO1", "200 kg"), ("H1", "STORE", "21 kg"), hours=2)


def test_parts_that_are_too_much_together_are_refused(stocked: Brewhouse, brew: Brew):
    with refused(NotEnoughThere, "Dry store holds 20 kg of lot H1; 22 kg was asked for."):
        stocked.draw(brew, ("H1", "STORE", "11 kg"), ("H1", "STORE", "11 kg"), hours=2)


def test_more_than_was_drawn_does_not_come_back(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("H1", "STORE", "2 kg"), hours=2)
    with refused(NotEnoughThere, "Brew B1 holds 2 kg of lot H1; 3 kg was asked for."):
        stocked.bring_back(brew, ("H1", "STORE", "3 kg"), hours=3)
    with refused(NotEnoughThere, "Brew B1 holds 0 kg of lot M1; 1 kg was asked for."):
        stocked.bring_back(brew, ("M1", "SILO1", "1 kg"), hours=3)


@pytest.mark.parametrize("quantities", [("0 kg",), ("-1 kg",), ("2 kg", "-1 kg")])
def test_nothing_and_less_is_neither_drawn_nor_returned(stocked: Brewhouse, brew: Brew, quantities: tuple[str, ...]):
    lines = [("H1", "STORE", quantity) for quantity in quantities]
    sentence = f"quantity: {quantities[-1]!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        stocked.draw(brew, *lines, hours=2)
    stocked.draw(brew, ("H1", "STORE", "5 kg"), hours=2)
    with refused(InvalidInput, sentence, field="quantity"):
        stocked.bring_back(brew, *lines, hours=3)


def test_a_draw_and_a_return_without_lines_are_refused(stocked: Brewhouse, brew: Brew):
    with refused(NothingToDo, "The draw has no lines.", field="lines"):
        stocked.draw(brew, hours=2)
    with refused(NothingToDo, "The return has no lines.", field="lines"):
        stocked.bring_back(brew, hours=2)


def test_a_draw_out_of_a_tank_is_refused(stocked: Brewhouse, brew: Brew):
    with refused(WrongPlace, "Fermenter 1 is a fermenter; this needs a store, silo or brink.", field="location"):
        stocked.draw(brew, ("H1", "FV1", "1 kg"), hours=2)


def test_a_return_into_a_tank_is_refused(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("H1", "STORE", "2 kg"), hours=2)
    with refused(WrongPlace, "Fermenter 1 is a fermenter; this needs a store, silo or brink.", field="location"):
        stocked.bring_back(brew, ("H1", "FV1", "1 kg"), hours=3)


def test_nothing_is_drawn_into_or_returned_from_a_store(stocked: Brewhouse):
    facts = {"parts": stocked.parts([("H1", "STORE", "1 kg")]), "happened_at": at(2), **stocked.by("brewing")}
    cold, sentence = stocked.place("COLD"), "Cold store is a store; this needs a brew or packaging run."
    with refused(WrongPlace, sentence, field="into"):
        draws.draw(into=cold, **facts)
    with refused(WrongPlace, sentence, field="out_of"):
        draws.return_to_stock(out_of=cold, **facts)


def test_a_return_on_top_of_another_material_in_a_silo_is_refused(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("H1", "STORE", "2 kg"), hours=2)
    with refused(CrossContact, "Silo 1 holds Pilsner malt (lot M1); Saaz cannot go in on top of it."):
        stocked.bring_back(brew, ("H1", "SILO1", "1 kg"), hours=3)


def test_a_return_into_a_mixed_silo_that_was_refilled_meanwhile_is_refused(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("M1", "SILO1", "200 kg"), hours=2)
    stocked.deliver("PILS", "M2", "100 kg", "SILO1", hours=3, contents_code="MS1")
    with refused(VesselOccupied, "Silo 1 holds lot MS1, so lot M1 cannot go in beside it.", field="location"):
        stocked.bring_back(brew, ("M1", "SILO1", "20 kg"), hours=4)


def test_nothing_is_drawn_before_it_came(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=5)
    brew = brewhouse.start_brew("B1", hours=1)
    with refused(BeforeItsLot, "Lot H1 was made at 2026-03-02 14:00, after 2026-03-02 13:00.", field="happened_at"):
        brewhouse.draw(brew, ("H1", "STORE", "1 kg"), hours=4)


def test_nothing_is_drawn_in_the_future(stocked: Brewhouse, brew: Brew):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        stocked.draw(brew, ("H1", "STORE", "1 kg"), hours=24 * 36500)


def test_a_draw_told_late_that_leaves_too_little_for_what_came_after_is_refused(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("H1", "STORE", "15 kg"), hours=10)
    stocked.bring_back(brew, ("H1", "STORE", "15 kg"), hours=20)
    sentence = "At 2026-03-02 19:00, Dry store would have held 1 kg less than nothing of lot H1."
    with refused(NotEnoughThen, sentence, field="happened_at"):
        stocked.draw(brew, ("H1", "STORE", "6 kg"), hours=5)
    stocked.draw(brew, ("H1", "STORE", "5 kg"), hours=5)


def test_a_return_told_before_its_draw_is_refused(stocked: Brewhouse, brew: Brew):
    stocked.draw(brew, ("H1", "STORE", "2 kg"), hours=10)
    with refused(NotEnoughThen, "At 2026-03-02 18:00, Brew B1 would have held 1 kg less than nothing of lot H1."):
        stocked.bring_back(brew, ("H1", "STORE", "1 kg"), hours=9)
