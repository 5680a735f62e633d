"""Booking: a draft becomes lots all at once, or every fault is told beside its field and nothing happens."""

from datetime import UTC, date, datetime

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.errors import DomainError
from inventory.models import Delivery, DeliveryLine, Event, LogisticUnit, Lot, Material, Posting
from inventory.queries.deliveries import lines_of, warnings_of
from inventory.queries.orders import expected_from
from inventory.services.draft_refusals import ChangedMeanwhile, DraftBooked, NotBookable
from inventory.services.orders import OrderedLine, enter_order
from inventory.services.refusals import InTheFuture
from tests.brewhouse import START, Brewhouse, at, micro, rid
from tests.inventory.dock import Dock
from tests.ledger import postings
from tests.standing import built_once

SSCC = "340123450000000000"
"""An SSCC with a right check digit; the published ones are tested with the arithmetic."""


@built_once
def dock(brewhouse: Brewhouse) -> Dock:
    return Dock(brewhouse)


def faults(dock: Dock, draft: Delivery) -> dict[str, str]:
    """Try to book; return what is wrong by field. Nothing has happened."""
    with pytest.raises(NotBookable) as refused:
        dock.book(draft)
    assert Delivery.objects.get(pk=draft.pk).state == "draft"
    assert not Event.objects.filter(kind="receive", reference=draft.note_number, reversed_by=None, delivery=draft)
    return {str(fault.field): fault.code for fault in refused.value.all_faults()}


def warned(draft: Delivery) -> list[tuple[str, str]]:
    lines = list(lines_of(draft))
    return [(warning.field, warning.sentence) for warning in warnings_of(draft, lines, lines)]


def test_every_line_is_a_lot_in_its_place_and_the_draft_is_booked(dock: Dock):
    draft = dock.open(hours=1)
    dock.add(draft, "SAAZ", "5.2 kg", "COLD", supplier_lot="SZ-25", crop_year=2025, best_before=date(2028, 1, 31))
    dock.add(draft, "CASCADE", "20 kg", package_micro=micro("5 kg"), package_count=4)
    booked = dock.book(draft)
    event = booked.event
    assert (booked.state, event.reference, event.happened_at) == ("booked", "LS-1", at(1))
    assert postings(event) == {
        ("HO260302-01", "supplier:HOPYARD", "COLD", "5.2 kg"),
        ("HO260302-02", "supplier:HOPYARD", "STORE", "20 kg"),
    }
    first, second = (line.lot for line in draft.lines.select_related("lot"))
    assert (first.supplier_lot, first.crop_year, first.best_before) == ("SZ-25", 2025, date(2028, 1, 31))
    assert (first.supplier.code, second.package_micro) == ("HOPYARD", micro("5 kg"))


def test_a_repeated_booking_is_one_booking(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    request, version = rid(), draft.version
    first, again = (dock.book(draft, version, request_id=request) for _ in range(2))
    assert first == again
    assert Event.objects.filter(kind="receive").count() == 1


def test_the_second_who_books_is_told_who_did_and_when(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    dock.book(draft)
    name = dock.house.people["receiving"].username
    for act in (lambda: Dock(dock.house, "quality").book(draft), lambda: dock.say(draft, carrier="x")):
        with pytest.raises(DraftBooked, match=rf"{name} booked delivery note LS-1 on 20\d\d-"):
            act()
    assert Lot.objects.count() == 1


def test_what_somebody_added_since_is_not_booked_unseen(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    seen = draft.version
    Dock(dock.house, "quality").add(draft, "CASCADE", "1 kg")
    with pytest.raises(ChangedMeanwhile, match="added line 2, Cascade"):
        dock.book(draft, seen)


def test_everything_that_is_missing_is_told_at_once(dock: Dock):
    draft = dock.open(note_number="", condition="")
    dock.add(draft, "SAAZ", "", "")
    dock.add(draft, "CASCADE", "1 kg", "")
    assert faults(dock, draft) == {
        "note_number": "missing",
        "condition": "missing",
        "lines[0].quantity": "missing",
        "lines[0].location": "missing",
        "lines[1].location": "missing",
    }
    assert faults(dock, dock.open("MALTINGS"))["lines"] == "missing"


@pytest.mark.parametrize(
    ("weighed", "is_let_pass"),
    [("100 kg", True), ("98 kg", True), ("102 kg", True), ("97.999999 kg", False), ("102.000001 kg", False)],
)
def test_a_weight_beyond_the_tolerance_needs_a_reason(dock: Dock, weighed: str, is_let_pass: bool):
    """The tolerance of a material is 2 % unless somebody sets another: common practice, no source."""
    draft = dock.open()
    line = dock.add(draft, "SAAZ", weighed, note_quantity_micro=micro("100 kg"))
    if not is_let_pass:
        assert faults(dock, draft) == {"lines[0].difference_reason": "beyond_tolerance"}
        dock.change(line, difference_reason="a bag had burst")
    assert dock.book(draft).state == "booked"


def test_a_note_number_that_came_before_is_questioned_until_it_is_confirmed(dock: Dock):
    dock.house.deliver("SAAZ", "H1", "1 kg", supplier="HOPYARD", note="LS-1", hours=-1)
    draft = dock.open(note_number="ls-1")
    dock.add(draft, "SAAZ", "5 kg")
    assert faults(dock, draft) == {"same_note_confirmed": "note_seen_before"}
    dock.say(draft, same_note_confirmed=True)
    assert dock.book(draft).state == "booked"


def test_the_same_note_number_of_another_supplier_or_of_a_reversed_delivery_is_no_question(dock: Dock):
    event = dock.house.deliver("SAAZ", "H1", "1 kg", supplier="HOPYARD", note="LS-1", hours=-1)
    dock.house.reverse(event)
    dock.house.deliver("SAAZ", "H2", "1 kg", supplier="MALTINGS", note="LS-1", hours=-1)
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    assert dock.book(draft).state == "booked"


def test_another_draft_under_the_same_note_is_shown(dock: Dock):
    draft, other = dock.open(), Dock(dock.house, "quality").open()
    name = dock.house.people["quality"].username
    sentence = f"{name} has a draft under this note number too (delivery {other.pk})."
    assert warned(draft) == [("note_number", sentence)]


def test_a_chilled_material_says_how_warm_it_was_and_what_was_done_when_too_warm(dock: Dock):
    Material.objects.filter(code="YEAST").update(warmest_arrival_milli_c=8000)
    Material.objects.filter(code="SAAZ").update(warmest_arrival_milli_c=15000)
    draft = dock.open()
    dock.add(draft, "YEAST", "5 kg", "COLD")
    dock.add(draft, "SAAZ", "5 kg", "COLD")
    assert faults(dock, draft) == {"temperature": "missing"}
    dock.say(draft, temperature_milli_c=8001)
    assert faults(dock, draft) == {"condition_note": "too_warm"}
    dock.say(draft, condition_note="cooled at once, viability is being looked at")
    assert dock.book(draft).state == "booked"


def test_at_the_warmest_that_may_be_it_is_taken(dock: Dock):
    Material.objects.filter(code="YEAST").update(warmest_arrival_milli_c=8000)
    draft = dock.open(temperature_milli_c=8000)
    dock.add(draft, "YEAST", "5 kg", "COLD")
    assert dock.book(draft).state == "booked"


def test_a_condition_that_is_not_sound_says_what_was_wrong(dock: Dock):
    draft = dock.open(condition="wet")
    dock.add(draft, "SAAZ", "5 kg")
    assert faults(dock, draft) == {"condition_note": "missing"}


def test_what_has_not_arrived_yet_is_not_booked(dock: Dock):
    hours = (datetime(2999, 1, 1, tzinfo=UTC) - START).total_seconds() / 3600
    draft = dock.open(hours=hours)
    dock.add(draft, "SAAZ", "5 kg")
    assert faults(dock, draft) == {"arrived_at": InTheFuture.code}


def test_codes_that_are_taken_twice_or_no_codes_are_told(dock: Dock):
    dock.house.deliver("SAAZ", "H1", "1 kg")
    draft = dock.open()
    for code in ("H1", "H2", "H2", "H 3"):
        dock.add(draft, "SAAZ", "1 kg", lot_code=code)
    assert faults(dock, draft) == {
        "lines[0].lot_code": "lot_code_taken",
        "lines[2].lot_code": "code_twice",
        "lines[3].lot_code": "invalid_input",
    }


def test_a_place_takes_no_more_than_fits(dock: Dock):
    dock.house.place("SILO2")
    dock.house.deliver("PILS", "M1", "900 kg", "SILO2")
    silo = dock.house.place("SILO2")
    silo.capacity_micro, silo.capacity_unit = micro("1000 kg"), "kg"
    silo.save()
    draft = dock.open("MALTINGS")
    dock.add(draft, "PILS", "60 kg", "SILO2")
    last = dock.add(draft, "PILS", "60 kg", "SILO2")
    assert faults(dock, draft) == {"lines[1].quantity": "over_capacity"}
    dock.change(last, quantity_micro=micro("40 kg"))
    assert dock.book(draft).state == "booked"
    assert [lot.code for lot in Lot.objects.order_by("pk")] == ["M1", "MA260302-01", "MA260302-02"]


def test_two_materials_meet_in_no_silo(dock: Dock):
    dock.house.deliver("PILS", "M1", "900 kg", "SILO1")
    draft = dock.open("MALTINGS")
    dock.add(draft, "MUNICH", "10 kg", "SILO1")
    dock.add(draft, "MUNICH", "10 kg", "SILO2")
    dock.add(draft, "PILS", "10 kg", "SILO2")
    assert faults(dock, draft) == {"lines[0].location": "cross_contact", "lines[2].location": "cross_contact"}


def test_a_mixed_silo_that_is_not_empty_holds_a_new_lot_of_its_contents(dock: Dock):
    dock.house.deliver("PILS", "M1", "900 kg", "SILO1")
    draft = dock.open("MALTINGS", hours=1)
    line = dock.add(draft, "PILS", "100 kg", "SILO1")
    dock.book(draft)
    line.refresh_from_db()
    assert line.lot is not None
    assert line.lot.code == "MA260302-01"
    assert dock.house.held("CMA260302-01", "SILO1") == micro("1000 kg")


def test_two_lots_for_one_mixed_silo_or_one_brink_are_told(dock: Dock):
    draft = dock.open("MALTINGS")
    for material, place in (("PILS", "SILO1"), ("PILS", "SILO1"), ("YEAST", "BRINK1"), ("YEAST", "BRINK1")):
        dock.add(draft, material, "10 kg", place)
    assert faults(dock, draft) == {"lines[1].location": "invalid_input", "lines[3].location": "vessel_occupied"}


def test_a_brink_that_holds_something_takes_nothing_else(dock: Dock):
    dock.house.deliver("YEAST", "Y1", "1 kg", "BRINK1")
    draft = dock.open()
    dock.add(draft, "YEAST", "10 kg", "BRINK1")
    assert faults(dock, draft) == {"lines[0].location": "vessel_occupied"}


def test_a_delivery_goes_into_stores_silos_and_brinks_only(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "1 kg", "FV1")
    assert faults(dock, draft) == {"lines[0].location": "wrong_place"}


def order_saaz(dock: Dock, quantity: str = "20 kg") -> None:
    enter_order(
        number="PO-1",
        supplier=dock.house.party("HOPYARD"),
        ordered_on=date(2026, 2, 1),
        lines=[OrderedLine(dock.house.material("SAAZ"), micro(quantity), date(2026, 3, 2))],
        **dock.who,
    )


def outstanding(dock: Dock) -> list[int]:
    return [row.outstanding_micro for row in expected_from(dock.house.party("HOPYARD"))]


def test_an_order_comes_in_parts_and_what_is_booked_no_longer_is_to_come(dock: Dock):
    order_saaz(dock)
    for part, left in (("15 kg", [micro("5 kg")]), ("5 kg", [])):
        draft = dock.open(note_number=part)
        dock.add(draft, "SAAZ", part, supplier_lot="A")
        dock.book(draft)
        assert outstanding(dock) == left


def test_too_much_and_the_wrong_material_are_shown_and_do_not_stop_the_booking(dock: Dock):
    order_saaz(dock)
    draft = dock.open()
    first = dock.add(draft, "SAAZ", "15 kg", supplier_lot="A")
    dock.add(draft, "SAAZ", "7 kg", supplier_lot="B")
    dock.add(draft, "CASCADE", "1 kg", supplier_lot="C")
    over = "Order PO-1: 2 kg more than was ordered."
    assert warned(draft) == [
        ("material", "No Cascade is still to come from Larkham Hop Yard."),
        ("quantity", over),
        ("quantity", over),
    ]
    dock.change(first, material=dock.house.material("CASCADE"))
    assert ("material", "Order PO-1 asks for Saaz, not for Cascade.") in warned(draft)
    assert dock.book(draft).state == "booked"


def test_a_suppliers_lot_that_came_before_is_shown(dock: Dock):
    dock.house.deliver("SAAZ", "H1", "1 kg", supplier="HOPYARD", supplier_lot="A", note="0")
    dock.house.deliver("SAAZ", "H2", "1 kg", supplier="MALTINGS", supplier_lot="B", note="0")
    draft = dock.open()
    dock.add(draft, "SAAZ", "1 kg", supplier_lot="A")
    dock.add(draft, "SAAZ", "1 kg", supplier_lot="B")
    dock.add(draft, "CASCADE", "1 kg", supplier_lot="A")
    assert warned(draft) == [("supplier_lot", "This supplier's lot came before, as lot H1.")]


def test_what_is_old_already_or_of_no_known_lot_is_shown(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "1 kg", best_before=date(2020, 1, 1))
    assert [field for field, _ in warned(draft)] == ["best_before", "supplier_lot"]


def test_boxes_that_came_on_a_pallet_stay_on_it(dock: Dock):
    draft = dock.open()
    for _ in range(2):
        dock.add(draft, "SAAZ", "5 kg", "COLD", sscc=SSCC)
    dock.book(draft)
    unit = LogisticUnit.objects.get(sscc=SSCC)
    assert unit.stands_in.code == "COLD"
    assert [row.quantity_micro for row in unit.location.balances.all()] == [micro("5 kg")] * 2


def test_a_pallet_stands_in_one_place_under_a_number_that_can_be(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg", "COLD", sscc=SSCC)
    dock.add(draft, "SAAZ", "5 kg", "STORE", sscc=SSCC)
    dock.add(draft, "SAAZ", "5 kg", "STORE", sscc=SSCC[:-1] + "1")
    assert faults(dock, draft) == {"lines[1].location": "two_places_one_pallet", "lines[2].sscc": "invalid_input"}


def test_a_pallet_that_is_on_record_with_lots_on_it_comes_no_second_time(dock: Dock):
    for note, is_taken in (("1", True), ("2", False)):
        draft = dock.open(note_number=note)
        dock.add(draft, "SAAZ", "5 kg", "COLD", sscc=SSCC)
        if is_taken:
            dock.book(draft)
    assert faults(dock, draft) == {"lines[0].sscc": "pallet_known"}


def test_malt_of_a_pallet_that_is_emptied_into_a_silo_leaves_no_pallet(dock: Dock):
    draft = dock.open("MALTINGS")
    dock.add(draft, "PILS", "5 kg", "SILO1", sscc=SSCC)
    dock.book(draft)
    assert not LogisticUnit.objects.exists()


def test_a_reversed_booking_is_seen_as_such_and_its_order_is_open_again(dock: Dock):
    order_saaz(dock)
    draft = dock.open()
    dock.add(draft, "SAAZ", "20 kg", "COLD", sscc=SSCC)
    booked = dock.book(draft)
    assert outstanding(dock) == []
    dock.house.reverse(booked.event)
    booked.refresh_from_db()
    assert (booked.state, booked.event.reversed_by.kind) == ("booked", "reverse")
    assert outstanding(dock) == [micro("20 kg")]
    again = dock.open()
    dock.add(again, "SAAZ", "20 kg", "COLD", sscc=SSCC, lot_code="HO260302-01")
    assert dock.book(again).state == "booked"


def test_a_refusal_of_the_ledger_leaves_the_draft_as_it_was(dock: Dock, monkeypatch):
    """What no fault foresaw, such as a race for a code, takes everything back."""
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg", lot_code="H1")
    monkeypatch.setattr("inventory.services.bookings.faults_of", lambda *_: [])
    dock.house.deliver("SAAZ", "H1", "1 kg")
    with pytest.raises(DomainError, match="H1 is in use"):
        dock.book(draft)
    assert Delivery.objects.get(pk=draft.pk).state == "draft"
    assert Posting.objects.count() == 1


def test_a_booked_delivery_and_its_lines_stay_as_they_are_whoever_writes(dock: Dock):
    draft = dock.open()
    line = dock.add(draft, "SAAZ", "5 kg")
    dock.book(draft)
    for write, rule in (
        (lambda: Delivery.objects.filter(pk=draft.pk).update(carrier="x"), "a_delivery_changes_as_a_draft_only"),
        (lambda: DeliveryLine.objects.filter(pk=line.pk).update(sscc=""), "a_line_that_made_a_lot_stays"),
        (lambda: DeliveryLine.objects.filter(pk=line.pk).delete(), "a_line_that_made_a_lot_is_kept"),
    ):
        with pytest.raises(IntegrityError, match=rule), transaction.atomic():
            write()


def test_a_delivery_of_10_000_lines_is_booked_in_few_statements(dock: Dock, django_assert_max_num_queries):
    draft = dock.open()
    first = dock.add(draft, "SAAZ", "1 kg", lot_code="L0")
    rows = DeliveryLine.objects.filter(pk=first.pk).values()[0]
    rows.pop("id")
    DeliveryLine.objects.bulk_create(
        DeliveryLine(**{**rows, "position": number + 1, "lot_code": f"L{number}"}) for number in range(1, 10_000)
    )
    with django_assert_max_num_queries(400):
        dock.book(draft)
    assert Lot.objects.count() == 10_000
