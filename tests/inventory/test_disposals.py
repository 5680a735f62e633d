"""Disposals: what is destroyed is gone for a reason, and what is sampled lies in the laboratory."""

import pytest

from brewery.kernel.errors import InvalidInput
from inventory.models import Event
from inventory.services.disposals import take_sample
from inventory.services.refusals import BeforeItsLot, InTheFuture, NotEnoughThere, ReasonMissing, WrongPlace
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=1)
    return brewhouse


def test_what_is_destroyed_is_gone_for_the_reason_given(hops: Brewhouse):
    event = hops.destroy("H1", "STORE", "3 kg", hours=2, reason="mould")
    assert (event.kind, event.reason) == (Event.Kind.DESTROY, "mould")
    assert postings(event) == {("H1", "STORE", "destroyed", "3 kg")}
    assert links(event) == set()
    assert (hops.held("H1", "STORE"), hops.held("H1", "destroyed")) == (micro("17 kg"), micro("3 kg"))


@pytest.mark.parametrize("disposition", ["quarantined", "on_hold", "rejected"])
def test_whatever_its_disposition_a_lot_is_sampled_and_destroyed(hops: Brewhouse, disposition: str):
    hops.decide("H1", disposition, hours=2)
    hops.sample("H1", "STORE", "0.1 kg", hours=3)
    hops.destroy("H1", "STORE", "19.9 kg", hours=4)
    assert hops.held("H1", "STORE") == 0


def test_a_sample_lies_in_the_laboratory_and_can_be_destroyed_there(hops: Brewhouse):
    event = hops.sample("H1", "STORE", "0.25 kg", hours=2)
    assert (event.kind, postings(event)) == (Event.Kind.SAMPLE, {("H1", "STORE", "LAB", "0.25 kg")})
    event = hops.destroy("H1", "LAB", "0.25 kg", hours=3, reason="used up")
    assert postings(event) == {("H1", "LAB", "destroyed", "0.25 kg")}


def test_beer_is_destroyed_out_of_its_tank(brewhouse: Brewhouse):
    brewhouse.stock_up()
    brewhouse.ferment()
    event = brewhouse.destroy("T1", "FV1", "1000 L", hours=40, reason="infected")
    assert postings(event) == {("T1", "FV1", "destroyed", "1000 L")}


def test_a_destruction_without_a_reason_is_refused(hops: Brewhouse):
    with refused(ReasonMissing, "A destruction needs a reason.", field="reason"):
        hops.destroy("H1", "STORE", "1 kg", hours=2, reason="")


def test_more_than_is_there_is_neither_destroyed_nor_sampled(hops: Brewhouse):
    sentence = "Dry store holds 20 kg of lot H1; 21 kg was asked for."
    with refused(NotEnoughThere, sentence, field="quantity"):
        hops.destroy("H1", "STORE", "21 kg", hours=2)
    with refused(NotEnoughThere, sentence, field="quantity"):
        hops.sample("H1", "STORE", "21 kg", hours=2)


@pytest.mark.parametrize("quantity_micro", [0, -1])
def test_nothing_is_neither_destroyed_nor_sampled(hops: Brewhouse, quantity_micro: int):
    quantity = f"{quantity_micro} kg"
    sentence = f"quantity: {quantity!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        hops.destroy("H1", "STORE", quantity, hours=2)
    with refused(InvalidInput, sentence, field="quantity"):
        hops.sample("H1", "STORE", quantity, hours=2)


def test_what_is_not_in_the_brewery_is_not_destroyed_there(hops: Brewhouse):
    with refused(WrongPlace, "The Heron Inn is a customer; this needs a place inside the brewery.", field="location"):
        hops.destroy("H1", "customer:INN", "1 kg", hours=2)


def test_a_sample_goes_to_a_laboratory_only(hops: Brewhouse):
    facts = {"lot": hops.lot("H1"), "location": hops.place("STORE"), "quantity_micro": 1, "happened_at": at(2)}
    with refused(WrongPlace, "Cold store is a store; this needs a laboratory.", field="laboratory"):
        take_sample(laboratory=hops.place("COLD"), **facts, **hops.by("quality"))


def test_no_sample_is_taken_in_the_laboratory_itself(hops: Brewhouse):
    with refused(WrongPlace, "Laboratory is a laboratory; this needs a store, silo, brink or tank.", field="location"):
        hops.sample("H1", "LAB", "1 kg", hours=2)


def test_nothing_is_destroyed_or_sampled_before_it_came(hops: Brewhouse):
    sentence = "Lot H1 was made at 2026-03-02 10:00, after 2026-03-02 09:00."
    with refused(BeforeItsLot, sentence, field="happened_at"):
        hops.destroy("H1", "STORE", "1 kg", hours=0)
    with refused(BeforeItsLot, sentence, field="happened_at"):
        hops.sample("H1", "STORE", "1 kg", hours=0)


def test_nothing_is_destroyed_or_sampled_in_the_future(hops: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        hops.destroy("H1", "STORE", "1 kg", hours=24 * 36500)
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        hops.sample("H1", "STORE", "1 kg", hours=24 * 36500)
