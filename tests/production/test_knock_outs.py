"""Knock-out: all that was drawn is wort, in one tank or several, with its loss."""

import pytest

from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.production.models import Brew
from brewery.production.services.knock_outs import knock_out
from brewery.production.services.refusals import AlreadyKnockedOut, ContentsCodeMissing, NothingDrawn
from brewery.production.services.tanks import Fill
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotCodeTaken,
    LotNotReleased,
    NothingToDo,
    OverCapacity,
    VesselOccupied,
    WrongMaterial,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


@built_once
def brew(house: Brewhouse) -> Brew:
    brew = house.start_brew("B1", hours=1)
    house.draw(brew, ("M1", "SILO1", "200 kg"), ("H1", "STORE", "2 kg"), hours=1)
    return brew


def test_everything_drawn_becomes_one_wort_in_one_tank(house: Brewhouse, brew: Brew):
    event = house.knock_out(brew, "W1", {"FV1": "1000 L"}, loss="30 L", hours=8)
    assert (event.kind, event.reference) == (Event.Kind.KNOCK_OUT, "B1")
    assert postings(event) == {
        ("M1", "B1", "transformed", "200 kg"),
        ("H1", "B1", "transformed", "2 kg"),
        ("W1", "transformed", "FV1", "1000 L"),
        ("W1", "transformed", "loss", "30 L"),
    }
    assert links(event) == {("M1", "W1", "ingredient", "200 kg"), ("H1", "W1", "ingredient", "2 kg")}
    wort = house.lot("W1")
    assert (wort.made_micro, wort.made_at, wort.material.code) == (micro("1030 L"), at(8), "WORT")


def test_one_wort_lies_in_several_tanks(house: Brewhouse, brew: Brew):
    event = house.knock_out(brew, "W1", {"FV1": "600 L", "FV2": "400 L"}, hours=8)
    assert {one for one in postings(event) if one[0] == "W1"} == {
        ("W1", "transformed", "FV1", "600 L"),
        ("W1", "transformed", "FV2", "400 L"),
    }
    assert house.lot("W1").made_micro == micro("1000 L")


def test_what_was_drawn_in_two_goes_and_brought_back_counts_net(house: Brewhouse, brew: Brew):
    house.draw(brew, ("M1", "SILO1", "50 kg"), hours=2)
    house.bring_back(brew, ("H1", "STORE", "2 kg"), hours=3)
    event = house.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    assert links(event) == {("M1", "W1", "ingredient", "250 kg")}


def test_in_an_occupied_tank_wort_and_contents_make_new_contents(house: Brewhouse, brew: Brew):
    house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8)
    house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=9)
    second = house.start_brew("B2", hours=10)
    house.draw(second, ("M1", "SILO1", "100 kg"), hours=10)
    event = house.knock_out(second, "W2", {"FV1": ("400 L", "T2"), "FV2": "100 L"}, loss="5 L", hours=18)
    assert postings(event) == {
        ("M1", "B2", "transformed", "100 kg"),
        ("W2", "transformed", "B2", "400 L"),
        ("W2", "transformed", "FV2", "100 L"),
        ("W2", "transformed", "loss", "5 L"),
    }
    blend = Event.objects.get(kind=Event.Kind.BLEND)
    assert (blend.happened_at, blend.request_id) == (event.happened_at, event.request_id)
    assert postings(blend) == {
        ("W2", "B2", "transformed", "400 L"),
        ("T1", "FV1", "transformed", "600 L"),
        ("T2", "transformed", "FV1", "1000 L"),
    }
    assert links(blend) == {("W2", "T2", "ingredient", "400 L"), ("T1", "T2", "ingredient", "600 L")}
    new = house.lot("T2")
    assert (new.material.code, new.generation) == ("LAGER", 1)


def test_both_events_of_an_occupied_tank_are_reversed_one_after_the_other(house: Brewhouse, brew: Brew):
    first = house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8)
    second = house.start_brew("B2", hours=10)
    house.draw(second, ("M1", "SILO1", "100 kg"), hours=10)
    event = house.knock_out(second, "W2", {"FV1": ("400 L", "T2")}, hours=18)
    house.reverse(Event.objects.get(kind=Event.Kind.BLEND))
    assert (house.held("W1", "FV1"), house.held("W2", "B2")) == (micro("600 L"), micro("400 L"))
    house.reverse(event)
    house.reverse(first)
    assert (house.held("M1", "B1"), house.held("M1", "B2")) == (micro("200 kg"), micro("100 kg"))


def test_an_occupied_tank_without_a_code_for_the_new_contents_is_refused(house: Brewhouse, brew: Brew):
    house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8)
    second = house.start_brew("B2", hours=10)
    house.draw(second, ("M1", "SILO1", "100 kg"), hours=10)
    sentence = "Fermenter 1 holds lot W1: what comes in makes new contents of it."
    with refused(ContentsCodeMissing, sentence, field="contents_code"):
        house.knock_out(second, "W2", {"FV1": "400 L"}, hours=18)


def test_a_brew_is_knocked_out_once(house: Brewhouse, brew: Brew):
    house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8)
    with refused(AlreadyKnockedOut, "Brew B1 was knocked out at 2026-03-02 17:00.", field="brew"):
        house.knock_out(brew, "W2", {"FV2": "400 L"}, hours=9)


def test_a_brew_that_nothing_was_drawn_for_is_refused(house: Brewhouse):
    brew = house.start_brew("B2", hours=1)
    with refused(NothingDrawn, "Nothing lies in Brew B2, so nothing can be made of it.", field="lines"):
        house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8)


def test_a_knock_out_into_no_tank_is_refused(house: Brewhouse, brew: Brew):
    with refused(NothingToDo, "The knock-out has no lines.", field="lines"):
        house.knock_out(brew, "W1", {}, hours=8)


def test_a_knock_out_into_a_store_is_refused(house: Brewhouse, brew: Brew):
    with refused(WrongPlace, "Cold store is a store; this needs a fermenter or bright tank.", field="vessel"):
        house.knock_out(brew, "W1", {"COLD": "600 L"}, hours=8)


def test_one_tank_twice_is_refused(house: Brewhouse, brew: Brew):
    tank = house.place("FV1")
    sentence = "Fermenter 1 holds lot this wort, so lot this wort, a second time cannot go in beside it."
    with refused(VesselOccupied, sentence, field="vessel"):
        knock_out(
            brew=brew,
            wort_material=house.material("WORT"),
            wort_code="W1",
            fills=[Fill(tank, micro("500 L")), Fill(tank, micro("500 L"))],
            loss_micro=0,
            happened_at=at(8),
            **house.by("brewing"),
        )


def test_a_knock_out_as_beer_is_refused(house: Brewhouse, brew: Brew):
    with refused(WrongMaterial, "Quillmere Lager is a beer; this needs a wort.", field="wort_material"):
        house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8, material="LAGER")


@pytest.mark.parametrize("volume", ["0 L", "-1 L"])
def test_a_fill_of_nothing_is_refused(house: Brewhouse, brew: Brew, volume: str):
    sentence = f"quantity: {volume!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        house.knock_out(brew, "W1", {"FV1": "600 L", "FV2": volume}, hours=8)


def test_a_loss_below_zero_is_refused(house: Brewhouse, brew: Brew):
    sentence = "quantity: '-1 L' is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        house.knock_out(brew, "W1", {"FV1": "600 L"}, loss="-1 L", hours=8)


def test_more_than_the_tank_takes_is_refused_with_what_lies_in_it(house: Brewhouse, brew: Brew):
    with refused(OverCapacity, "Fermenter 1 takes 4000 L; with this it would hold 4001 L.", field="quantity"):
        house.knock_out(brew, "W1", {"FV1": "4001 L"}, hours=8)
    house.knock_out(brew, "W1", {"FV1": "4000 L"}, hours=8)
    second = house.start_brew("B2", hours=10)
    house.draw(second, ("M1", "SILO1", "100 kg"), hours=10)
    with refused(OverCapacity, "Fermenter 1 takes 4000 L; with this it would hold 4100 L.", field="quantity"):
        house.knock_out(second, "W2", {"FV1": ("100 L", "T2")}, hours=18)


@pytest.mark.parametrize("code", ["M1", "W0"])
def test_a_taken_code_is_refused_for_the_wort_and_for_the_contents(house: Brewhouse, brew: Brew, code: str):
    other = house.start_brew("B0", hours=1)
    house.draw(other, ("M1", "SILO1", "100 kg"), hours=1)
    house.knock_out(other, "W0", {"FV2": "400 L"}, hours=2)
    with refused(LotCodeTaken, f"Lot code {code} is in use already.", field="code"):
        house.knock_out(brew, code, {"FV1": "600 L"}, hours=8)
    with refused(LotCodeTaken, f"Lot code {code} is in use already.", field="code"):
        house.knock_out(brew, "W1", {"FV2": ("600 L", code)}, hours=8)


def test_a_lot_held_after_its_draw_stops_the_knock_out(house: Brewhouse, brew: Brew):
    house.decide("M1", "on_hold", hours=2)
    with refused(LotNotReleased, "Lot M1 is on hold, so it cannot be used.", field="lot"):
        house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8)


def test_wort_of_a_lot_held_after_its_draw_is_knocked_out_with_a_reason_on_record(house: Brewhouse, brew: Brew):
    house.decide("M1", "on_hold", hours=2)
    with refused(
        NotAllowed, "brewing may not do this: it needs the right “override_refusals”.", field="override_reason"
    ):
        house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8, override="the kettle is full")
    event = house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8, role="quality", override="the kettle is full")
    assert event.override_reason == "the kettle is full"


def test_a_reason_given_for_a_knock_out_holds_for_its_blends_too(house: Brewhouse, brew: Brew):
    house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=8)
    second = house.start_brew("B2", hours=9)
    house.draw(second, ("M1", "SILO1", "200 kg"), hours=9)
    house.decide("W1", "on_hold", hours=10)
    fills = {"FV1": ("600 L", "T1")}
    with refused(LotNotReleased, "Lot W1 is on hold, so it cannot be used.", field="lot"):
        house.knock_out(second, "W2", fills, hours=16)
    house.knock_out(second, "W2", fills, hours=16, role="quality", override="both are fine")
    assert Event.objects.get(kind=Event.Kind.BLEND).override_reason == "both are fine"


def test_a_knock_out_before_a_lot_came_is_refused(house: Brewhouse):
    house.deliver("CASCADE", "H9", "5 kg", hours=6)
    brew = house.start_brew("B1", hours=1)
    house.draw(brew, ("H9", "STORE", "1 kg"), hours=7)
    with refused(BeforeItsLot, "Lot H9 was made at 2026-03-02 15:00, after 2026-03-02 14:00.", field="happened_at"):
        house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=5)


def test_a_knock_out_in_the_future_is_refused(house: Brewhouse, brew: Brew):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.knock_out(brew, "W1", {"FV1": "600 L"}, hours=24 * 36500)
