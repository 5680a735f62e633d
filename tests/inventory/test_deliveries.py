"""Deliveries: every line is a lot, and a mixed silo that was not empty holds a new one."""

from datetime import date

import pytest

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.science.units import format_micro
from inventory.models import Event
from inventory.services.deliveries import ReceivedLot, receive_delivery
from inventory.services.refusals import (
    BeforeItsLot,
    CrossContact,
    InTheFuture,
    LotCodeTaken,
    NothingToDo,
    OverCapacity,
    VesselOccupied,
    VesselOccupiedThen,
    WrongPlace,
)
from inventory.services.registers import add_location
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused

BAD_CODE = "A lot code is 1 to 20 letters, digits or signs that a GS1 barcode can carry, without spaces or brackets."


def receive(house: Brewhouse, *lines: ReceivedLot, hours: float = 0) -> Event:
    return receive_delivery(
        supplier=house.party("MALTINGS"), note_number="77", lines=lines, happened_at=at(hours), **house.by("receiving")
    )


def test_every_line_is_a_lot_from_the_supplier_in_its_place(brewhouse: Brewhouse):
    pils = ReceivedLot(
        brewhouse.material("PILS"),
        "M1",
        micro("1000 kg"),
        brewhouse.place("SILO1"),
        supplier_lot="SM-26/114",
        best_before=date(2027, 3, 1),
    )
    yeast = ReceivedLot(brewhouse.material("YEAST"), "Y1", micro("50 kg"), brewhouse.place("COLD"), generation=1)
    event = receive(brewhouse, pils, yeast)
    assert postings(event) == {
        ("M1", "supplier:MALTINGS", "SILO1", "1000 kg"),
        ("Y1", "supplier:MALTINGS", "COLD", "50 kg"),
    }
    assert links(event) == set()
    malt = brewhouse.lot("M1")
    assert (malt.material.code, malt.supplier.code, malt.supplier_lot) == ("PILS", "MALTINGS", "SM-26/114")
    assert (malt.best_before, malt.made_at, malt.made_by) == (date(2027, 3, 1), at(0), event)
    assert (malt.made_micro, malt.total_micro, malt.generation) == (micro("1000 kg"), micro("1000 kg"), None)
    assert brewhouse.lot("Y1").generation == 1


def test_the_event_says_who_when_and_by_which_note(brewhouse: Brewhouse):
    event = brewhouse.deliver("PILS", "M1", "10 kg", note="LS 4711", hours=1)
    event.refresh_from_db()
    assert (event.kind, event.reference, event.happened_at) == (Event.Kind.RECEIVE, "LS 4711", at(1))
    assert (event.actor, event.override_reason) == (brewhouse.people["receiving"], "")
    assert at(1) < event.recorded_at <= now()


@pytest.mark.parametrize(("material", "disposition"), [("PILS", "released"), ("MUNICH", "quarantined")])
def test_a_lot_arrives_as_its_material_does(brewhouse: Brewhouse, material: str, disposition: str):
    brewhouse.deliver(material, "M1", "10 kg")
    assert brewhouse.lot("M1").disposition == disposition


def test_a_refilled_mixed_silo_holds_one_new_lot_of_heel_and_delivery(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO1")
    brewhouse.move("M1", "SILO1", "STORE", "700 kg", hours=1)
    event = brewhouse.deliver("PILS", "M2", "500 kg", "SILO1", hours=2, contents_code="MS1")
    assert postings(event) == {
        ("M1", "SILO1", "transformed", "300 kg"),
        ("M2", "supplier:MALTINGS", "transformed", "500 kg"),
        ("MS1", "transformed", "SILO1", "800 kg"),
    }
    assert links(event) == {("M1", "MS1", "ingredient", "300 kg"), ("M2", "MS1", "ingredient", "500 kg")}
    assert brewhouse.held("M1", "STORE") == micro("700 kg")
    assert brewhouse.lot("MS1").total_micro == micro("800 kg")


def test_a_mixed_silo_that_ran_empty_holds_just_the_next_delivery(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO1")
    brewhouse.move("M1", "SILO1", "STORE", "1000 kg", hours=1)
    event = brewhouse.deliver("PILS", "M2", "500 kg", "SILO1", hours=2)
    assert postings(event) == {("M2", "supplier:MALTINGS", "SILO1", "500 kg")}
    assert links(event) == set()


def test_a_layered_silo_keeps_deliveries_apart(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO2")
    event = brewhouse.deliver("PILS", "M2", "500 kg", "SILO2", hours=2)
    assert links(event) == set()
    assert (brewhouse.held("M1", "SILO2"), brewhouse.held("M2", "SILO2")) == (micro("1000 kg"), micro("500 kg"))


@pytest.mark.parametrize(
    ("heel", "material", "mixture"),
    [
        ("released", "PILS", "released"),
        ("released", "MUNICH", "quarantined"),
        ("on_hold", "PILS", "on_hold"),
        ("on_hold", "MUNICH", "on_hold"),
        ("rejected", "MUNICH", "rejected"),
    ],
)
def test_silo_contents_are_usable_as_far_as_the_strictest_part(
    brewhouse: Brewhouse, heel: str, material: str, mixture: str
):
    brewhouse.deliver(material, "M1", "1000 kg", "SILO1")
    brewhouse.decide("M1", heel, hours=1)
    brewhouse.deliver(material, "M2", "500 kg", "SILO1", hours=2, contents_code="MS1")
    assert brewhouse.lot("MS1").disposition == mixture


def test_a_delivery_without_lines_is_refused(brewhouse: Brewhouse):
    with refused(NothingToDo, "The delivery has no lines.", field="lines"):
        receive(brewhouse)


def test_a_delivery_into_a_tank_is_refused(brewhouse: Brewhouse):
    with refused(WrongPlace, "Fermenter 1 is a fermenter; this needs a store, silo or brink.", field="location"):
        brewhouse.deliver("PILS", "M1", "10 kg", "FV1")


@pytest.mark.parametrize(("material", "generation"), [("YEAST", None), ("PILS", 1)])
def test_yeast_and_nothing_else_has_a_generation(brewhouse: Brewhouse, material: str, generation: int | None):
    sentence = f"generation: {generation!r} is not valid. Yeast, and nothing else, has one."
    with refused(InvalidInput, sentence, field="generation"):
        brewhouse.deliver(material, "X1", "10 kg", generation=generation)


@pytest.mark.parametrize("silo", ["SILO1", "SILO2"])
def test_another_material_on_top_of_what_a_silo_holds_is_refused(brewhouse: Brewhouse, silo: str):
    brewhouse.deliver("PILS", "M1", "1000 kg", silo)
    name = brewhouse.place(silo).name
    sentence = f"{name} holds Pilsner malt (lot M1); Munich malt cannot go in on top of it."
    with refused(CrossContact, sentence, field="location"):
        brewhouse.deliver("MUNICH", "M2", "500 kg", silo, hours=1, contents_code="MS1")


def test_a_refill_without_a_code_for_the_contents_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO1")
    sentence = "contents_code: '' is not valid. Silo 1 still holds lot M1: give the code of the mixed contents."
    with refused(InvalidInput, sentence, field="contents_code"):
        brewhouse.deliver("PILS", "M2", "500 kg", "SILO1", hours=1)


def test_two_lines_into_one_mixed_silo_are_refused(brewhouse: Brewhouse):
    pils, silo = brewhouse.material("PILS"), brewhouse.place("SILO1")
    sentence = "location: 'SILO1' is not valid. A mixed silo takes one lot a delivery: record them apart."
    with refused(InvalidInput, sentence, field="location"):
        receive(brewhouse, ReceivedLot(pils, "M1", micro("1 t"), silo), ReceivedLot(pils, "M2", micro("1 t"), silo))


def test_two_yeasts_into_one_brink_are_refused(brewhouse: Brewhouse):
    yeast, brink = brewhouse.material("YEAST"), brewhouse.place("BRINK1")
    lines = [ReceivedLot(yeast, code, micro("50 kg"), brink, generation=1) for code in ("Y1", "Y2")]
    with refused(VesselOccupied, "Yeast brink 1 holds lot Y1, so lot Y2 cannot go in beside it.", field="location"):
        receive(brewhouse, *lines)


def test_yeast_into_a_brink_that_holds_another_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("YEAST", "Y1", "50 kg", "BRINK1")
    with refused(VesselOccupied, "Yeast brink 1 holds lot Y1, so lot Y2 cannot go in beside it."):
        brewhouse.deliver("YEAST", "Y2", "50 kg", "BRINK1", hours=1)


@pytest.mark.parametrize("code", ["", "A" * 21, "M 1", "M(1", "M)1", "M[1]", "M#1", "Mälz", "M1\n"])
def test_a_lot_code_that_no_barcode_can_carry_is_refused(brewhouse: Brewhouse, code: str):
    with refused(InvalidInput, f"code: {code!r} is not valid. {BAD_CODE}", field="code"):
        brewhouse.deliver("PILS", code, "10 kg")


# GS1 General Specifications, figure 7.11-1: character set 82, here without its brackets.
@pytest.mark.parametrize("code", ["A", "A" * 20, "!\"%&'*+,-./0123456789", ":;<=>?ABCxyz_"])
def test_a_lot_code_is_1_to_20_signs_of_gs1_character_set_82(brewhouse: Brewhouse, code: str):
    brewhouse.deliver("PILS", code[:20], "10 kg")
    assert brewhouse.held(code[:20], "STORE") == micro("10 kg")


def test_a_taken_lot_code_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "10 kg")
    with refused(LotCodeTaken, "Lot code M1 is in use already.", field="code"):
        brewhouse.deliver("SAAZ", "M1", "10 kg", hours=1)


def test_one_code_for_two_lines_is_refused(brewhouse: Brewhouse):
    pils, store = brewhouse.material("PILS"), brewhouse.place("STORE")
    with refused(LotCodeTaken, "Lot code M1 is in use already."):
        receive(brewhouse, ReceivedLot(pils, "M1", 1, store), ReceivedLot(pils, "M1", 1, store))


@pytest.mark.parametrize("quantity_micro", [0, -1, 2**62])
def test_a_quantity_that_cannot_be_is_refused(brewhouse: Brewhouse, quantity_micro: int):
    told = f"{format_micro(quantity_micro, 'kg')} kg"
    sentence = f"quantity: {told!r} is not valid. Give a quantity above zero, in real amounts."
    with refused(InvalidInput, sentence, field="quantity"):
        receive(brewhouse, ReceivedLot(brewhouse.material("PILS"), "M1", quantity_micro, brewhouse.place("STORE")))


def test_a_delivery_that_has_not_come_yet_is_refused(brewhouse: Brewhouse):
    with refused(InTheFuture, "2126-01-01 09:00 has not come yet.", field="happened_at"):
        brewhouse.deliver("PILS", "M1", "10 kg", hours=(at(0).replace(year=2126, month=1, day=1) - at(0)).days * 24)


def test_a_refill_before_the_heel_came_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO1", hours=5)
    with refused(BeforeItsLot, "Lot M1 was made at 2026-03-02 14:00, after 2026-03-02 13:00.", field="happened_at"):
        brewhouse.deliver("PILS", "M2", "500 kg", "SILO1", hours=4, contents_code="MS1")


def test_a_refill_told_after_its_heel_was_drawn_from_is_not_put_before_the_draw(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO1", hours=1)
    brewhouse.move("M1", "SILO1", "STORE", "100 kg", hours=5)
    sentence = "At 2026-03-02 13:00, Silo 1 would have held lots M1 and MS1 at once."
    with refused(VesselOccupiedThen, sentence, field="happened_at"):
        brewhouse.deliver("PILS", "M2", "500 kg", "SILO1", hours=4, contents_code="MS1")


def test_more_than_a_silo_takes_is_refused_and_as_much_is_not(brewhouse: Brewhouse):
    facts = {"filling": "mixed", "capacity_micro": micro("1 t"), "capacity_unit": "kg"}
    add_location(code="SILO3", name="Silo 3", kind="silo", **facts, **brewhouse.by("administration"))
    brewhouse.deliver("PILS", "M1", "600 kg", "SILO3")
    with refused(OverCapacity, "Silo 3 takes 1000 kg; with this it would hold 1000.000001 kg.", field="quantity"):
        brewhouse.deliver("PILS", "M2", "400.000001 kg", "SILO3", hours=1, contents_code="MS1")
    brewhouse.deliver("PILS", "M2", "400 kg", "SILO3", hours=1, contents_code="MS1")
    assert brewhouse.held("MS1", "SILO3") == micro("1 t")


def test_capacity_in_another_unit_says_nothing(brewhouse: Brewhouse):
    facts = {"capacity_micro": micro("100 L"), "capacity_unit": "L"}
    add_location(code="SHELF", name="Shelf", kind="store", **facts, **brewhouse.by("administration"))
    brewhouse.deliver("PILS", "M1", "600 kg", "SHELF")
    assert brewhouse.held("M1", "SHELF") == micro("600 kg")
