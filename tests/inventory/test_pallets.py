"""Pallets: a place that moves, with all that lies on it."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction

from brewery.kernel.errors import InvalidInput
from brewery.production.services.dispatch import ship_pallet
from inventory.models import Event, LogisticUnit, Posting, UnitMove
from inventory.queries.pallets import moves_of, pallet_of, pallets_that_hold_something, stood_in, with_contents
from inventory.services.pallets import MovedLater, load_pallet, make_pallet, move_pallet, unload_pallet
from inventory.services.refusals import (
    InTheFuture,
    LotNotReleased,
    NotEnoughThere,
    NothingToDo,
    WrongMaterial,
    WrongPlace,
)
from inventory.services.registers import add_location
from inventory.services.scans import read_scan
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import postings, refused
from tests.standing import built_once

SUPPLIERS_SSCC = "376104250021234569"  # biip 5.2.0


def make(house: Brewhouse, place: str = "STORE", *, hours: float = 1, sscc: str = "") -> LogisticUnit:
    return make_pallet(stands_in=house.place(place), made_at=at(hours), sscc=sscc, **house.by("receiving"))


def load(house: Brewhouse, unit: LogisticUnit, *lines: tuple[str, str, str], hours: float = 2) -> Event:
    return load_pallet(unit=unit, parts=house.parts(lines), happened_at=at(hours), **house.by("receiving"))


def move(house: Brewhouse, unit: LogisticUnit, to: str, *, hours: float) -> UnitMove:
    return move_pallet(unit=unit, to_location=house.place(to), happened_at=at(hours), **house.by("receiving"))


def on(house: Brewhouse, unit: LogisticUnit, lot: str) -> int:
    return house.held(lot, unit.sscc)


@built_once
def stocked(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


# Numbers


def test_a_pallet_gets_the_next_number_of_the_brewery(stocked: Brewhouse):
    """Prefix 9521234, serials of nine digits; the check digits by the GS1 rule, checked against biip in test_gs1.py."""
    first, second = make(stocked), make(stocked)
    assert (first.sscc, second.sscc) == ("095212340000000013", "095212340000000020")
    assert (first.location.code, first.location.name) == (first.sscc, "Pallet …000013")
    assert (first.location.kind, first.stands_in) == ("pallet", stocked.place("STORE"))


def test_a_pallet_of_a_supplier_keeps_its_number_and_the_brewerys_go_on(stocked: Brewhouse):
    assert make(stocked, sscc=SUPPLIERS_SSCC).sscc == SUPPLIERS_SSCC
    make(stocked, sscc="095212345000000018")  # our own serial 500000001
    assert make(stocked).sscc == "095212345000000025"


@pytest.mark.parametrize("sscc", ["376104250021234568", "37610425002123456", "37610425002123456x", "1" * 19])
def test_a_wrong_sscc_is_refused(stocked: Brewhouse, sscc: str):
    sentence = f"sscc: {sscc!r} is not valid. An SSCC has 18 digits, the last one its check digit."
    with refused(InvalidInput, sentence, field="sscc"):
        make(stocked, sscc=sscc)


def test_a_pallet_is_made_once(stocked: Brewhouse):
    make(stocked, sscc=SUPPLIERS_SSCC)
    sentence = f"sscc: '{SUPPLIERS_SSCC}' is not valid. This pallet is on record already."
    with refused(InvalidInput, sentence, field="sscc"):
        make(stocked, sscc=SUPPLIERS_SSCC)


def test_the_same_request_makes_one_pallet(stocked: Brewhouse):
    asked = {"stands_in": stocked.place("STORE"), "made_at": at(1), "request_id": uuid4()}
    first = make_pallet(**asked, actor=stocked.people["receiving"])
    assert make_pallet(**asked, actor=stocked.people["receiving"]) == first
    assert LogisticUnit.objects.count() == 1


def test_a_pallet_stands_in_a_store_and_not_in_the_future(stocked: Brewhouse):
    with refused(WrongPlace, "Fermenter 1 is a fermenter; this needs a store.", field="stands_in"):
        make(stocked, "FV1")
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="made_at"):
        make(stocked, hours=24 * 36500)


def test_a_pallet_is_not_entered_as_a_bare_place(stocked: Brewhouse):
    sentence = "kind: 'pallet' is not valid. Give a kind of place inside the brewery."
    with refused(InvalidInput, sentence, field="kind"):
        add_location(code="P1", name="Pallet 1", kind="pallet", **stocked.by("administration"))


# Loading


def test_lots_lie_on_the_pallet_as_in_any_place(stocked: Brewhouse):
    unit = make(stocked)
    event = load(stocked, unit, ("H1", "STORE", "15 kg"), ("H2", "STORE", "20 kg"))
    assert (event.kind, event.reference) == (Event.Kind.MOVE, unit.sscc)
    assert postings(event) == {("H1", "STORE", unit.sscc, "15 kg"), ("H2", "STORE", unit.sscc, "20 kg")}
    (pallet,) = with_contents(pallets_that_hold_something())
    assert [(row.lot.code, row.quantity_micro) for row in pallet.contents] == [
        ("H1", micro("15 kg")),
        ("H2", micro("20 kg")),
    ]


def test_all_of_a_load_or_none_of_it(stocked: Brewhouse):
    unit = make(stocked)
    with refused(NotEnoughThere, "Dry store holds 20 kg of lot H2; 21 kg was asked for."):
        load(stocked, unit, ("H1", "STORE", "15 kg"), ("H2", "STORE", "21 kg"))


def test_a_load_of_nothing_from_elsewhere_or_too_early_is_refused(stocked: Brewhouse):
    unit = make(stocked)
    with refused(NothingToDo, "The load has no lines.", field="lines"):
        load(stocked, unit)
    with refused(WrongPlace, "Silo 1 is a silo; this needs a store or another pallet.", field="location"):
        load(stocked, unit, ("M1", "SILO1", "1 kg"))
    sentence = f"Pallet {unit.sscc} was made or moved at 2026-03-02 10:00, after 2026-03-02 09:30."
    with refused(MovedLater, sentence, field="happened_at"):
        load(stocked, unit, ("H1", "STORE", "1 kg"), hours=0.5)


def test_a_load_goes_from_pallet_to_pallet_but_not_to_itself(stocked: Brewhouse):
    first, second = make(stocked), make(stocked)
    load(stocked, first, ("H1", "STORE", "20 kg"))
    load(stocked, second, ("H1", first.sscc, "5 kg"), hours=3)
    assert (on(stocked, first, "H1"), on(stocked, second, "H1")) == (micro("15 kg"), micro("5 kg"))
    sentence = f"location: '{first.sscc}' is not valid. It lies on this pallet already."
    with refused(InvalidInput, sentence, field="location"):
        load(stocked, first, ("H1", first.sscc, "5 kg"), hours=4)


def test_a_part_or_all_is_taken_off_where_the_pallet_stands(stocked: Brewhouse):
    unit = make(stocked)
    load(stocked, unit, ("H1", "STORE", "20 kg"), ("H2", "STORE", "20 kg"))
    move(stocked, unit, "COLD", hours=3)
    unload_pallet(
        unit=unit, parts=stocked.parts([("H1", unit.sscc, "5 kg")]), happened_at=at(4), **stocked.by("receiving")
    )
    assert (on(stocked, unit, "H1"), stocked.held("H1", "COLD")) == (micro("15 kg"), micro("5 kg"))
    unload_pallet(unit=unit, to_location=stocked.place("STORE"), happened_at=at(5), **stocked.by("receiving"))
    assert (on(stocked, unit, "H1"), on(stocked, unit, "H2")) == (0, 0)
    assert stocked.held("H2", "STORE") == micro("20 kg")
    assert list(pallets_that_hold_something()) == []
    with refused(NothingToDo, "The pallet has no lines.", field="lines"):
        unload_pallet(unit=unit, happened_at=at(6), **stocked.by("receiving"))


def test_what_is_not_on_the_pallet_is_not_taken_off_it(stocked: Brewhouse):
    unit = make(stocked)
    sentence = "location: 'STORE' is not valid. This is not the pallet."
    with refused(InvalidInput, sentence, field="location"):
        unload_pallet(
            unit=unit, parts=stocked.parts([("H1", "STORE", "5 kg")]), happened_at=at(4), **stocked.by("receiving")
        )


# Moving


def test_a_pallet_moves_with_all_that_is_on_it_and_posts_nothing(stocked: Brewhouse):
    unit = make(stocked)
    load(stocked, unit, ("H1", "STORE", "20 kg"))
    before = Posting.objects.count()
    moved = move(stocked, unit, "COLD", hours=3)
    unit.refresh_from_db()
    assert (unit.stands_in, Posting.objects.count()) == (stocked.place("COLD"), before)
    assert on(stocked, unit, "H1") == micro("20 kg")
    assert (moved.from_location, moved.to_location, moved.actor) == (
        stocked.place("STORE"),
        stocked.place("COLD"),
        stocked.people["receiving"],
    )


def test_where_a_pallet_stood_is_known_for_every_moment(stocked: Brewhouse):
    unit = make(stocked)
    assert stood_in(unit, at(1)) == stocked.place("STORE")
    move(stocked, unit, "COLD", hours=3)
    move(stocked, unit, "STORE", hours=5)
    unit = pallet_of(unit.sscc)
    told = {hours: stood_in(unit, at(hours)) for hours in (0.5, 1, 2.9, 3, 4.9, 5, 9)}
    store, cold = stocked.place("STORE"), stocked.place("COLD")
    assert told == {0.5: None, 1: store, 2.9: store, 3: cold, 4.9: cold, 5: store, 9: store}
    assert [row.to_location for row in moves_of(unit)] == [cold, store]


def test_a_move_that_cannot_be_is_refused(stocked: Brewhouse):
    unit = make(stocked)
    with refused(InvalidInput, "to_location: 'STORE' is not valid. The pallet stands there already."):
        move(stocked, unit, "STORE", hours=3)
    with refused(WrongPlace, "Silo 1 is a silo; this needs a store.", field="to_location"):
        move(stocked, unit, "SILO1", hours=3)
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        move(stocked, unit, "COLD", hours=24 * 36500)
    move(stocked, unit, "COLD", hours=3)
    sentence = f"Pallet {unit.sscc} was made or moved at 2026-03-02 12:00, after 2026-03-02 11:00."
    with refused(MovedLater, sentence, field="happened_at"):
        move(stocked, unit, "STORE", hours=2)


def test_moves_of_pallets_are_never_changed(stocked: Brewhouse):
    move(stocked, make(stocked), "COLD", hours=3)
    for change in (
        lambda: UnitMove.objects.update(happened_at=at(4)),
        lambda: UnitMove.objects.all().delete(),
    ):
        with pytest.raises(DatabaseError, match="moves_of_pallets_are_never"), transaction.atomic():
            change()


# Using what is on it


def test_a_brew_draws_from_a_pallet(stocked: Brewhouse):
    unit = make(stocked)
    load(stocked, unit, ("H1", "STORE", "20 kg"))
    brew = stocked.start_brew("B1", hours=3)
    stocked.draw(brew, ("H1", unit.sscc, "2 kg"), hours=4)
    assert on(stocked, unit, "H1") == micro("18 kg")


def test_a_lot_on_a_pallet_is_counted_and_its_load_may_be_reversed(stocked: Brewhouse):
    unit = make(stocked)
    event = load(stocked, unit, ("H1", "STORE", "10 kg"))
    stocked.reverse(event)
    assert (on(stocked, unit, "H1"), stocked.held("H1", "STORE")) == (0, micro("20 kg"))
    load(stocked, unit, ("H1", "STORE", "10 kg"), hours=5)
    stocked.count("H1", unit.sscc, "9.5 kg", hours=6)
    assert on(stocked, unit, "H1") == micro("9.5 kg")


@built_once
def kegs(brewhouse: Brewhouse) -> Brewhouse:
    """15 kegs of KEG1 lie in the cold store."""
    brewhouse.whole_chain()
    return brewhouse


def kegs_on_a_pallet(house: Brewhouse, count: str = "3 each") -> LogisticUnit:
    unit = make(house, "COLD", hours=500)
    load(house, unit, ("KEG1", "COLD", count), hours=501)
    return unit


def ship(house: Brewhouse, unit: LogisticUnit, **asked: object) -> Event:
    return ship_pallet(
        customer=house.party("INN"),
        note_number="S9",
        unit=unit,
        happened_at=at(510),
        **house.by("receiving"),
        **asked,
    )


def test_a_whole_pallet_is_shipped_in_one(kegs: Brewhouse):
    unit = kegs_on_a_pallet(kegs)
    event = ship(kegs, unit)
    assert (event.kind, event.reference) == (Event.Kind.SHIP, "S9")
    assert postings(event) == {("KEG1", unit.sscc, "customer:INN", "3 each")}
    with refused(NothingToDo, "The shipment has no lines.", field="lines"):
        ship(kegs, unit)


def test_a_part_of_a_pallet_is_shipped_by_line(kegs: Brewhouse):
    unit = kegs_on_a_pallet(kegs)
    kegs.ship("INN", ("KEG1", unit.sscc, "1 each"), hours=510)
    assert on(kegs, unit, "KEG1") == micro("2 each")


def test_a_pallet_with_a_held_lot_or_raw_materials_is_not_shipped(kegs: Brewhouse):
    unit = kegs_on_a_pallet(kegs)
    load(kegs, unit, ("H1", "STORE", "1 kg"), hours=502)
    with refused(WrongMaterial, "H1 is a hop; this needs packaged beer."):
        ship(kegs, unit)
    unload_pallet(unit=unit, parts=kegs.parts([("H1", unit.sscc, "1 kg")]), happened_at=at(503), **kegs.by("receiving"))
    kegs.decide("KEG1", "on_hold", hours=504)
    with refused(LotNotReleased, "Lot KEG1 is on hold, so it cannot be used."):
        ship(kegs, unit)


# Scans of pallets


def test_the_label_of_a_pallet_on_record_gives_its_place(stocked: Brewhouse):
    unit = make(stocked)
    for text in (unit.sscc, f"]C100{unit.sscc}", f"https://id.gs1.org/00/{unit.sscc}"):
        scan = read_scan(text)
        assert (scan.sscc, scan.location) == (unit.sscc, unit.location)
    assert read_scan(f"00{SUPPLIERS_SSCC}").location is None
