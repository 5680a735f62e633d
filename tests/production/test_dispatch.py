"""Dispatch: packaged beer lies at the customer, and what comes back lies in a store again."""

import pytest

from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.production.services.dispatch import ship
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotNotReleased,
    NotEnoughThen,
    NotEnoughThere,
    NothingToDo,
    ReasonMissing,
    WrongMaterial,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """10 kegs of KEG1 were made at hour 102 and lie in the cold store; 500 L of beer T1 are left in FV1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    run = brewhouse.start_run("R1", hours=100)
    brewhouse.draw(run, ("K1", "STORE", "10 each"), hours=100)
    brewhouse.package(run, "FV1", "KEG1", 10, hours=102)
    return brewhouse


def overriding(house: Brewhouse, role: str) -> Event:
    return ship(
        customer=house.party("INN"),
        note_number="S1",
        parts=house.parts([("KEG1", "COLD", "4 each")]),
        happened_at=at(110),
        override_reason="the customer knows",
        **house.by(role),
    )


def test_what_was_shipped_lies_at_the_customer(house: Brewhouse):
    house.move("KEG1", "COLD", "STORE", "3 each", hours=103)
    event = house.ship("INN", ("KEG1", "COLD", "4 each"), ("KEG1", "STORE", "1 each"), hours=110, note="LS 1")
    assert (event.kind, event.reference) == (Event.Kind.SHIP, "LS 1")
    assert postings(event) == {("KEG1", "COLD", "customer:INN", "4 each"), ("KEG1", "STORE", "customer:INN", "1 each")}
    assert links(event) == set()
    assert house.held("KEG1", "customer:INN") == micro("5 each")


def test_what_came_back_lies_in_a_store_again(house: Brewhouse):
    house.ship("INN", ("KEG1", "COLD", "4 each"), hours=110)
    event = house.take_back("INN", ("KEG1", "STORE", "1 each"), hours=120, reason="leaks")
    assert (event.kind, event.reason) == (Event.Kind.TAKE_BACK, "leaks")
    assert postings(event) == {("KEG1", "customer:INN", "STORE", "1 each")}
    assert house.held("KEG1", "customer:INN") == micro("3 each")


def test_a_held_lot_comes_back(house: Brewhouse):
    house.ship("INN", ("KEG1", "COLD", "4 each"), hours=110)
    house.decide("KEG1", "rejected", hours=111)
    house.take_back("INN", ("KEG1", "COLD", "4 each"), hours=120)
    assert house.held("KEG1", "COLD") == micro("10 each")


@pytest.mark.parametrize(
    ("disposition", "words"), [("quarantined", "quarantined"), ("on_hold", "on hold"), ("rejected", "rejected")]
)
def test_what_is_not_released_is_not_shipped(house: Brewhouse, disposition: str, words: str):
    house.decide("KEG1", disposition, hours=109)
    with refused(LotNotReleased, f"Lot KEG1 is {words}, so it cannot be used.", field="lot"):
        house.ship("INN", ("KEG1", "COLD", "4 each"), hours=110)


def test_an_override_takes_the_right_and_is_on_record(house: Brewhouse):
    house.decide("KEG1", "on_hold", hours=109)
    sentence = "receiving may not do this: it needs the right “override_refusals”."
    with refused(NotAllowed, sentence, field="override_reason"):
        overriding(house, "receiving")
    assert overriding(house, "quality").override_reason == "the customer knows"


def test_only_packaged_beer_is_shipped(house: Brewhouse):
    with refused(WrongMaterial, "H1 is a hop; this needs packaged beer.", field="lot"):
        house.ship("INN", ("H1", "STORE", "1 kg"), hours=110)


def test_beer_is_shipped_from_a_store_and_comes_back_into_one(house: Brewhouse):
    sentence = "Silo 2 is a silo; this needs a store."
    with refused(WrongPlace, "Silo 2 is a silo; this needs a store or pallet.", field="location"):
        house.ship("INN", ("KEG1", "SILO2", "1 each"), hours=110)
    house.ship("INN", ("KEG1", "COLD", "1 each"), hours=110)
    with refused(WrongPlace, sentence, field="location"):
        house.take_back("INN", ("KEG1", "SILO2", "1 each"), hours=120)


def test_one_part_too_much_refuses_the_whole_shipment(house: Brewhouse):
    house.move("KEG1", "COLD", "STORE", "3 each", hours=103)
    with refused(NotEnoughThere, "Cold store holds 7 each of lot KEG1; 8 each was asked for.", field="quantity"):
        house.ship("INN", ("KEG1", "STORE", "3 each"), ("KEG1", "COLD", "8 each"), hours=110)


def test_a_customer_returns_no_more_than_it_was_sent(house: Brewhouse):
    house.ship("INN", ("KEG1", "COLD", "4 each"), hours=110)
    house.ship("MARKET", ("KEG1", "COLD", "6 each"), hours=110)
    with refused(NotEnoughThere, "The Heron Inn holds 4 each of lot KEG1; 5 each was asked for.", field="quantity"):
        house.take_back("INN", ("KEG1", "COLD", "5 each"), hours=120)


def test_a_shipment_and_a_return_without_lines_are_refused(house: Brewhouse):
    with refused(NothingToDo, "The shipment has no lines.", field="lines"):
        house.ship("INN", hours=110)
    with refused(NothingToDo, "The return has no lines.", field="lines"):
        house.take_back("INN", hours=110)


@pytest.mark.parametrize("quantity", ["0 each", "-1 each"])
def test_nothing_is_neither_shipped_nor_taken_back(house: Brewhouse, quantity: str):
    house.ship("INN", ("KEG1", "COLD", "1 each"), hours=110)
    sentence = f"quantity: {quantity!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        house.ship("INN", ("KEG1", "COLD", quantity), hours=111)
    with refused(InvalidInput, sentence, field="quantity"):
        house.take_back("INN", ("KEG1", "COLD", quantity), hours=111)


def test_a_return_without_a_reason_is_refused(house: Brewhouse):
    house.ship("INN", ("KEG1", "COLD", "1 each"), hours=110)
    with refused(ReasonMissing, "A return from a customer needs a reason.", field="reason"):
        house.take_back("INN", ("KEG1", "COLD", "1 each"), hours=120, reason="")


def test_nothing_is_shipped_before_it_was_packaged(house: Brewhouse):
    with refused(BeforeItsLot, "Lot KEG1 was made at 2026-03-06 15:00, after 2026-03-06 14:00.", field="happened_at"):
        house.ship("INN", ("KEG1", "COLD", "1 each"), hours=101)


def test_nothing_comes_back_before_it_was_shipped(house: Brewhouse):
    house.ship("INN", ("KEG1", "COLD", "4 each"), hours=110)
    sentence = "At 2026-03-06 22:00, The Heron Inn would have held 1 each less than nothing of lot KEG1."
    with refused(NotEnoughThen, sentence, field="happened_at"):
        house.take_back("INN", ("KEG1", "COLD", "1 each"), hours=109)


def test_nothing_is_shipped_or_taken_back_in_the_future(house: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.ship("INN", ("KEG1", "COLD", "1 each"), hours=24 * 36500)
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.take_back("INN", ("KEG1", "COLD", "1 each"), hours=24 * 36500)
