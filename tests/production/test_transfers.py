"""Transfers: into an empty tank a lot stays itself; beside other beer both become new contents."""

import pytest

from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.production.services.refusals import ContentsCodeMissing, MoreThanTheTankHolds
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotCodeTaken,
    LotNotReleased,
    NotEnoughThen,
    OverCapacity,
    VesselEmpty,
    VesselOccupiedThen,
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


@built_once
def two(house: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1, and 1000 L of beer T2 in FV2."""
    house.ferment(number=2, vessel="FV2", hours=20)
    return house


def test_into_an_empty_tank_the_lot_stays_the_same(house: Brewhouse):
    event = house.transfer("FV1", "BT1", "990 L", loss="10 L", hours=100)
    assert event.kind == Event.Kind.TRANSFER
    assert postings(event) == {("T1", "FV1", "BT1", "990 L"), ("T1", "FV1", "loss", "10 L")}
    assert links(event) == set()
    assert (house.held("T1", "FV1"), house.held("T1", "BT1")) == (0, micro("990 L"))


def test_without_a_loss_nothing_goes_to_loss(house: Brewhouse):
    assert postings(house.transfer("FV1", "BT1", "1000 L", hours=100)) == {("T1", "FV1", "BT1", "1000 L")}


def test_a_part_of_a_tank_and_then_the_rest_of_it_are_one_lot(house: Brewhouse):
    house.transfer("FV1", "BT1", "400 L", hours=100)
    event = house.transfer("FV1", "BT1", "600 L", hours=101)
    assert (event.kind, links(event)) == (Event.Kind.TRANSFER, set())
    assert house.held("T1", "BT1") == micro("1000 L")


def test_a_held_lot_may_change_tanks(house: Brewhouse):
    house.decide("T1", "on_hold", hours=99)
    house.transfer("FV1", "BT1", "1000 L", hours=100)
    assert house.held("T1", "BT1") == micro("1000 L")


@pytest.mark.parametrize(("kind", "recorded"), [("transfer", "blend"), ("blend", "blend"), ("kraeusen", "kraeusen")])
def test_into_an_occupied_tank_both_become_new_contents(two: Brewhouse, kind: str, recorded: str):
    event = two.transfer("FV1", "FV2", "300 L", loss="5 L", contents="T3", kind=kind, hours=100)
    assert event.kind == recorded
    assert postings(event) == {
        ("T1", "FV1", "transformed", "300 L"),
        ("T1", "FV1", "loss", "5 L"),
        ("T2", "FV2", "transformed", "1000 L"),
        ("T3", "transformed", "FV2", "1300 L"),
    }
    assert links(event) == {("T1", "T3", "ingredient", "300 L"), ("T2", "T3", "ingredient", "1000 L")}
    assert two.held("T1", "FV1") == micro("695 L")
    assert two.lot("T3").material.code == "LAGER"


# Kräusen of 12 L in 100 L of green beer are 12 % of it and 10.71 % of the blend; computed, tolerance 0.01.
def test_kraeusen_of_12_in_100_is_10_71_per_cent_of_the_blend(two: Brewhouse):
    two.transfer("FV2", "BT1", "100 L", hours=99)
    event = two.transfer("FV1", "BT1", "12 L", contents="T3", kind="kraeusen", hours=100)
    added = event.links.get(parent__code="T1").quantity_micro
    assert 100 * added / micro("100 L") == 12
    assert 100 * added / two.lot("T3").total_micro == pytest.approx(10.71, abs=0.01)


def test_wort_as_kraeusen_takes_on_the_beers_material_and_yeast(house: Brewhouse):
    brew = house.start_brew("B2", hours=80)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=80)
    house.knock_out(brew, "W2", {"FV2": "100 L"}, hours=90)
    house.transfer("FV2", "FV1", "100 L", contents="T3", kind="kraeusen", hours=100)
    assert (house.lot("T3").material.code, house.lot("T3").generation) == ("LAGER", 1)


@pytest.mark.parametrize(("from_", "to"), [("FV1", "FV2"), ("FV2", "FV1")])
def test_a_blend_bears_the_higher_generation_of_the_two(house: Brewhouse, from_: str, to: str):
    house.harvest("FV1", "20 L", "Y2", "22 kg", hours=90)
    brew = house.start_brew("B2", hours=91)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=91)
    house.knock_out(brew, "W2", {"FV2": "500 L"}, hours=92)
    house.pitch("FV2", "T2", ("Y2", "BRINK1", "5 kg"), hours=93)
    house.transfer(from_, to, "100 L", contents="T3", kind="blend", hours=100)
    assert house.lot("T3").generation == 2


def test_more_than_the_tank_holds_is_refused_losses_included(house: Brewhouse):
    sentence = "Fermenter 1 holds 1000 L of lot T1; 1001 L was asked for, losses included."
    with refused(MoreThanTheTankHolds, sentence, field="quantity"):
        house.transfer("FV1", "BT1", "990 L", loss="11 L", hours=100)


def test_more_than_the_tank_holds_is_refused_for_a_blend_losses_included(two: Brewhouse):
    sentence = "Fermenter 1 holds 1000 L of lot T1; 1001 L was asked for, losses included."
    with refused(MoreThanTheTankHolds, sentence, field="quantity"):
        two.transfer("FV1", "FV2", "990 L", loss="11 L", contents="T3", hours=100)


def test_an_empty_tank_is_refused(house: Brewhouse):
    with refused(VesselEmpty, "Fermenter 2 holds nothing.", field="vessel"):
        house.transfer("FV2", "BT1", "1 L", hours=100)


@pytest.mark.parametrize("kind", ["kraeusen", "blend"])
def test_kraeusen_and_blends_need_something_to_go_into(house: Brewhouse, kind: str):
    with refused(VesselEmpty, "Bright tank 1 holds nothing.", field="to_vessel"):
        house.transfer("FV1", "BT1", "1 L", contents="T3", kind=kind, hours=100)


def test_an_occupied_tank_without_a_code_for_the_new_contents_is_refused(two: Brewhouse):
    sentence = "Fermenter 2 holds lot T2: what comes in makes new contents of it."
    with refused(ContentsCodeMissing, sentence, field="contents_code"):
        two.transfer("FV1", "FV2", "1 L", hours=100)


def test_another_kind_of_transfer_is_refused(house: Brewhouse):
    sentence = "kind: 'pour' is not valid. Choose transfer, kraeusen or blend."
    with refused(InvalidInput, sentence, field="kind"):
        house.transfer("FV1", "BT1", "1 L", kind="pour", hours=100)


def test_a_transfer_into_the_same_tank_is_refused(house: Brewhouse):
    sentence = "to_vessel: 'FV1' is not valid. Choose another tank than the first."
    with refused(InvalidInput, sentence, field="to_vessel"):
        house.transfer("FV1", "FV1", "1 L", hours=100)


@pytest.mark.parametrize(("from_", "to"), [("COLD", "FV1"), ("FV1", "COLD")])
def test_only_tanks_are_transferred_between(house: Brewhouse, from_: str, to: str):
    with refused(WrongPlace, "Cold store is a store; this needs a fermenter or bright tank.", field="vessel"):
        house.transfer(from_, to, "1 L", hours=100)


@pytest.mark.parametrize(("quantity", "loss", "wrong"), [("0 L", "0 L", 0), ("-1 L", "0 L", -1), ("1 L", "-1 L", -1)])
def test_a_transfer_of_nothing_or_a_loss_below_zero_is_refused(house: Brewhouse, quantity: str, loss: str, wrong: int):
    sentence = f"quantity: '{wrong} L' is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        house.transfer("FV1", "BT1", quantity, loss=loss, hours=100)


def test_more_than_the_other_tank_takes_is_refused(two: Brewhouse):
    two.count("T2", "FV2", "3900 L", hours=99, reason="gauge")
    with refused(OverCapacity, "Fermenter 2 takes 4000 L; with this it would hold 4001 L.", field="quantity"):
        two.transfer("FV1", "FV2", "101 L", contents="T3", hours=100)
    two.transfer("FV1", "FV2", "100 L", contents="T3", hours=100)


@pytest.mark.parametrize("held", ["T1", "T2"])
def test_held_beer_is_not_blended(two: Brewhouse, held: str):
    two.decide(held, "on_hold", hours=99)
    with refused(LotNotReleased, f"Lot {held} is on hold, so it cannot be used.", field="lot"):
        two.transfer("FV1", "FV2", "1 L", contents="T3", hours=100)


def test_held_beer_is_blended_with_a_reason_that_stays_on_record(two: Brewhouse):
    two.decide("T1", "on_hold", hours=99)
    blend = {"contents": "T3", "hours": 100, "override": "tasted, and good"}
    with refused(
        NotAllowed, "brewing may not do this: it needs the right “override_refusals”.", field="override_reason"
    ):
        two.transfer("FV1", "FV2", "1 L", **blend)
    assert two.transfer("FV1", "FV2", "1 L", role="quality", **blend).override_reason == "tasted, and good"


def test_a_taken_code_is_refused(two: Brewhouse):
    with refused(LotCodeTaken, "Lot code W1 is in use already.", field="code"):
        two.transfer("FV1", "FV2", "1 L", contents="W1", hours=100)


def test_a_transfer_before_its_beer_was_made_is_refused(house: Brewhouse):
    with refused(BeforeItsLot, "Lot T1 was made at 2026-03-02 20:00, after 2026-03-02 19:30.", field="happened_at"):
        house.transfer("FV1", "BT1", "1 L", hours=10.5)


def test_a_transfer_in_the_future_is_refused(house: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        house.transfer("FV1", "BT1", "1 L", hours=24 * 36500)


def test_a_transfer_told_late_into_a_tank_that_was_not_empty_then_is_refused(two: Brewhouse):
    two.transfer("FV2", "BT1", "1000 L", hours=100)
    sentence = "At 2026-03-06 12:00, Fermenter 2 would have held lots T1 and T2 at once."
    with refused(VesselOccupiedThen, sentence, field="happened_at"):
        two.transfer("FV1", "FV2", "1000 L", hours=99)
    two.clean("FV2", hours=100)
    two.transfer("FV1", "FV2", "1000 L", hours=100)


def test_a_transfer_told_late_into_a_tank_that_was_empty_then_and_is_now_is_refused_while_it_was_not(two: Brewhouse):
    two.transfer("FV2", "BT1", "1000 L", hours=100)
    two.transfer("BT1", "FV2", "1000 L", hours=120)
    two.transfer("FV2", "BT1", "1000 L", hours=130)
    sentence = "At 2026-03-07 09:00, Fermenter 2 would have held lots T1 and T2 at once."
    with refused(VesselOccupiedThen, sentence, field="happened_at"):
        two.transfer("FV1", "FV2", "1000 L", hours=110)


def test_a_transfer_told_before_the_beer_was_in_that_tank_is_refused(house: Brewhouse):
    house.transfer("FV1", "BT1", "1000 L", hours=100)
    sentence = "At 2026-03-06 12:00, Bright tank 1 would have held 400 L less than nothing of lot T1."
    with refused(NotEnoughThen, sentence, field="happened_at"):
        house.transfer("BT1", "FV2", "400 L", hours=99)
