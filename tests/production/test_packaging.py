"""Packaging: beer and all that the run had drawn become one packaged lot."""

from datetime import date

import pytest

from brewery.kernel.errors import InvalidInput, NotAllowed
from brewery.production.models import PackagingRun
from brewery.production.services.packaging import package
from brewery.production.services.refusals import AlreadyPackaged, MoreThanTheTankHolds, NothingDrawn
from inventory.models import Event
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotCodeTaken,
    LotNotReleased,
    VesselEmpty,
    WrongMaterial,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    return brewhouse


@built_once
def run(house: Brewhouse) -> PackagingRun:
    """25 crowns of K1 lie in packaging run R1."""
    run = house.start_run("R1", hours=100)
    house.draw(run, ("K1", "STORE", "25 each"), hours=100)
    return run


def fill(house: Brewhouse, run: PackagingRun, role: str = "brewing", **facts: object) -> Event:
    given = {
        "run": run,
        "vessel": house.place("FV1"),
        "material": house.material("KEG50"),
        "packaged_code": "KEG1",
        "count": 10,
        "loss_micro": 0,
        "location": house.place("COLD"),
        "happened_at": at(102),
        **facts,
    }
    return package(**given, **house.by(role))


def test_beer_and_everything_drawn_become_one_packaged_lot(house: Brewhouse, run: PackagingRun):
    event = house.package(run, "FV1", "KEG1", 10, loss="5 L", hours=102)
    assert (event.kind, event.reference) == (Event.Kind.PACKAGE, "R1")
    assert postings(event) == {
        ("T1", "FV1", "transformed", "500 L"),
        ("T1", "FV1", "loss", "5 L"),
        ("K1", "R1", "transformed", "25 each"),
        ("KEG1", "transformed", "COLD", "10 each"),
    }
    assert links(event) == {("T1", "KEG1", "ingredient", "500 L"), ("K1", "KEG1", "ingredient", "25 each")}
    assert house.lot("KEG1").made_micro == micro("10 each")
    assert house.held("T1", "FV1") == micro("495 L")


def test_what_one_holds_makes_the_beer_filled(house: Brewhouse, run: PackagingRun):
    event = house.package(run, "FV1", "CASE1", 25, material="BOTTLE500", hours=102)
    assert ("T1", "CASE1", "ingredient", "12.5 L") in links(event)


def test_a_packaged_lot_bears_its_best_before(house: Brewhouse, run: PackagingRun):
    fill(house, run, best_before=date(2026, 12, 1))
    assert house.lot("KEG1").best_before == date(2026, 12, 1)


def test_the_last_drop_is_filled_and_lost(house: Brewhouse, run: PackagingRun):
    house.package(run, "FV1", "KEG1", 19, loss="50 L", hours=102)
    assert house.held("T1", "FV1") == 0


def test_a_run_is_filled_once(house: Brewhouse, run: PackagingRun):
    fill(house, run)
    with refused(AlreadyPackaged, "Packaging run R1 was filled at 2026-03-06 15:00.", field="run"):
        fill(house, run, packaged_code="KEG2", happened_at=at(103))


def test_a_run_that_nothing_was_drawn_for_is_refused(house: Brewhouse):
    run = house.start_run("R2", hours=100)
    with refused(NothingDrawn, "Nothing lies in Packaging run R2, so nothing can be made of it.", field="lines"):
        fill(house, run)


@pytest.mark.parametrize("count", [0, -1])
def test_a_count_of_nothing_is_refused(house: Brewhouse, run: PackagingRun, count: int):
    sentence = f"count: '{count} each' is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="count"):
        fill(house, run, count=count)


def test_a_loss_below_zero_is_refused(house: Brewhouse, run: PackagingRun):
    sentence = "quantity: '-0.000001 L' is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        fill(house, run, loss_micro=-1)


def test_packaged_beer_goes_into_a_store(house: Brewhouse, run: PackagingRun):
    with refused(WrongPlace, "Silo 2 is a silo; this needs a store.", field="location"):
        fill(house, run, location=house.place("SILO2"))


def test_only_packaged_beer_comes_of_it(house: Brewhouse, run: PackagingRun):
    with refused(WrongMaterial, "Quillmere Lager is a beer; this needs packaged beer.", field="material"):
        fill(house, run, material=house.material("LAGER"))


def test_an_empty_tank_is_refused(house: Brewhouse, run: PackagingRun):
    with refused(VesselEmpty, "Bright tank 1 holds nothing.", field="vessel"):
        fill(house, run, vessel=house.place("BT1"))


def test_beer_comes_out_of_a_tank(house: Brewhouse, run: PackagingRun):
    with refused(WrongPlace, "Cold store is a store; this needs a fermenter or bright tank.", field="vessel"):
        fill(house, run, vessel=house.place("COLD"))


@pytest.mark.parametrize(("count", "loss", "asked"), [(21, "0 L", "1050 L"), (20, "0.000001 L", "1000.000001 L")])
def test_more_than_the_tank_holds_is_refused_losses_included(
    house: Brewhouse, run: PackagingRun, count: int, loss: str, asked: str
):
    sentence = f"Fermenter 1 holds 1000 L of lot T1; {asked} was asked for, losses included."
    with refused(MoreThanTheTankHolds, sentence, field="quantity"):
        fill(house, run, count=count, loss_micro=micro(loss))


@pytest.mark.parametrize("held", ["T1", "K1"])
def test_held_beer_and_held_crowns_are_not_used_without_an_override(house: Brewhouse, run: PackagingRun, held: str):
    house.decide(held, "on_hold", hours=101)
    with refused(LotNotReleased, f"Lot {held} is on hold, so it cannot be used.", field="lot"):
        fill(house, run)
    with refused(NotAllowed, "brewing may not do this: it needs the right “override_refusals”."):
        fill(house, run, override_reason="tasted")
    assert fill(house, run, "quality", override_reason="tasted").override_reason == "tasted"


def test_a_taken_code_is_refused(house: Brewhouse, run: PackagingRun):
    with refused(LotCodeTaken, "Lot code T1 is in use already.", field="code"):
        fill(house, run, packaged_code="T1")


def test_packaging_before_the_beer_was_made_is_refused(house: Brewhouse):
    run = house.start_run("R1", hours=1)
    house.draw(run, ("K1", "STORE", "25 each"), hours=1)
    with refused(BeforeItsLot, "Lot T1 was made at 2026-03-02 20:00, after 2026-03-02 19:30.", field="happened_at"):
        fill(house, run, happened_at=at(10.5))


def test_packaging_in_the_future_is_refused(house: Brewhouse, run: PackagingRun):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        fill(house, run, happened_at=at(24 * 36500))
