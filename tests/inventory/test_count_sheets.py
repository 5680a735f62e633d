"""Count sheets: counted blind by several people, held against the book of the moment, booked with a reason."""

from typing import Any

import pytest
import time_machine
from django.db import IntegrityError, transaction
from django.utils import timezone

from brewery.kernel.errors import InvalidInput, NotAllowed
from inventory.models import CountFind, CountLine, CountSheet, Event, Lot
from inventory.queries.count_sheets import differences_of, open_sheets
from inventory.services.count_refusals import (
    CountedBySameHands,
    CountedElsewhere,
    CountUnderWay,
    NotAllCounted,
    NotOnThisSheet,
    SheetNotInState,
)
from inventory.services.count_sheets import (
    book_count,
    discard_count,
    enter_count,
    hand_in_count,
    note_find,
    open_count,
    recount,
)
from inventory.services.refusals import InTheFuture, NotEnoughThere, ReasonMissing, WrongPlace
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """The store holds 20 kg of H1, 10 kg of H2 and 1000 crowns K1; 5 kg of H1 lie in the cold store, too."""
    brewhouse.deliver("SAAZ", "H1", "25 kg")
    brewhouse.deliver("CASCADE", "H2", "10 kg", note="2")
    brewhouse.deliver("CROWN", "K1", "1000 each", note="3")
    brewhouse.move("H1", "STORE", "COLD", "5 kg", hours=1)
    return brewhouse


@built_once
def sheet(house: Brewhouse) -> CountSheet:
    """The store is being counted."""
    return open_count(location=house.place("STORE"), **house.by("receiving"))


def count(
    house: Brewhouse, sheet: CountSheet, lot: str, quantity: str, by: str = "receiving", **more: Any
) -> CountLine:
    return enter_count(sheet=sheet, lot=house.lot(lot), counted_micro=micro(quantity), **more, **house.by(by))


def counted(
    house: Brewhouse, sheet: CountSheet, h1: str = "20 kg", h2: str = "10 kg", k1: str = "1000 each"
) -> CountSheet:
    """All of the store is counted and handed in."""
    for lot, quantity in (("H1", h1), ("H2", h2), ("K1", k1)):
        count(house, sheet, lot, quantity)
    return hand_in_count(sheet=sheet, **house.by("receiving"))


def book(house: Brewhouse, sheet: CountSheet, by: str = "accounting", reason: str = "spilt") -> CountSheet:
    return book_count(sheet=sheet, reason=reason, **house.by(by))


def lines(sheet: CountSheet) -> set[tuple[str, str]]:
    return {(line.lot.code, line.location.code) for line in sheet.lines.select_related("lot", "location")}


def test_a_sheet_of_a_place_names_what_lies_there(sheet: CountSheet):
    assert lines(sheet) == {("H1", "STORE"), ("H2", "STORE"), ("K1", "STORE")}


def test_a_sheet_of_a_material_names_its_lots_wherever_they_lie(house: Brewhouse):
    sheet = open_count(material=house.material("SAAZ"), **house.by("brewing"))
    assert lines(sheet) == {("H1", "STORE"), ("H1", "COLD")}


def test_a_count_that_agrees_is_booked_when_it_is_handed_in(house: Brewhouse, sheet: CountSheet):
    done = counted(house, sheet)
    assert (done.state, done.approved_by) == ("booked", house.people["receiving"])
    events = Event.objects.filter(kind=Event.Kind.COUNT)
    assert events.count() == 3
    assert [posting for event in events for posting in postings(event)] == []


def test_a_difference_waits_until_somebody_books_it_with_a_reason(house: Brewhouse, sheet: CountSheet):
    waiting = counted(house, sheet, h1="19.9 kg")
    assert waiting.state == "submitted"
    assert house.held("H1", "STORE") == micro("20 kg")
    with refused(ReasonMissing, "A count that differs from the book needs a reason.", field="reason"):
        book(house, sheet, reason=" ")
    book(house, sheet, by="receiving", reason="a torn bag")
    assert house.held("H1", "STORE") == micro("19.9 kg")
    line = sheet.lines.select_related("event").get(lot__code="H1")
    assert line.event is not None
    assert (line.reason, line.event.reason) == ("a torn bag", "a torn bag")
    assert postings(line.event) == {("H1", "STORE", "count_difference", "0.1 kg")}
    assert sheet.lines.get(lot__code="H2").reason == ""


@pytest.mark.parametrize(
    ("h1", "above"), [("19.6 kg", False), ("19.599999 kg", True), ("20.4 kg", False), ("20.400001 kg", True)]
)
def test_the_threshold_is_the_materials_share_of_the_book(house: Brewhouse, sheet: CountSheet, h1: str, above: bool):
    """Two hundredths, as every material starts with: common practice, no source."""
    counted(house, sheet, h1=h1)
    assert {
        one.line.lot.code: one.needs_approval for one in differences_of(sheet.lines.select_related("lot__material"))
    } == {
        "H1": above,
        "H2": False,
        "K1": False,
    }


def test_a_large_difference_is_approved_by_somebody_with_the_right(house: Brewhouse, sheet: CountSheet):
    counted(house, sheet, h1="10 kg")
    with refused(NotAllowed, "brewing may not do this: it needs the right “approve_counts”.", field="sheet"):
        book(house, sheet, by="brewing")
    done = book(house, sheet, by="quality")
    assert (done.state, done.approved_by) == ("booked", house.people["quality"])
    assert house.held("H1", "STORE") == micro("10 kg")


def test_a_large_difference_is_not_approved_by_who_counted(house: Brewhouse, sheet: CountSheet):
    for lot, quantity, by in (
        ("H1", "10 kg", "receiving"),
        ("H2", "10 kg", "accounting"),
        ("K1", "1000 each", "quality"),
    ):
        count(house, sheet, lot, quantity, by=by)
    hand_in_count(sheet=sheet, **house.by("quality"))
    for by in ("quality", "accounting"):
        sentence = f"{by} counted on this sheet, and the differences of H1 are above their threshold."
        with refused(CountedBySameHands, sentence):
            book(house, sheet, by=by)


def test_a_small_difference_is_booked_by_who_counted(house: Brewhouse, sheet: CountSheet):
    counted(house, sheet, k1="999 each")
    assert book(house, sheet, by="receiving").state == "booked"


def test_what_moves_between_the_count_and_its_booking_does_no_harm(house: Brewhouse, sheet: CountSheet):
    count(house, sheet, "H1", "19 kg", counted_at=at(5))
    count(house, sheet, "H2", "10 kg")
    count(house, sheet, "K1", "1000 each")
    house.move("H1", "STORE", "COLD", "3 kg", hours=10)
    hand_in_count(sheet=sheet, **house.by("receiving"))
    house.move("H1", "STORE", "COLD", "2 kg", hours=11)
    book(house, sheet)
    assert house.held("H1", "STORE") == micro("14 kg")
    assert house.held("H1", "COLD") == micro("10 kg")


def test_what_was_moved_earlier_and_told_late_is_taken_into_account(house: Brewhouse, sheet: CountSheet):
    count(house, sheet, "H1", "15 kg", counted_at=at(5))
    count(house, sheet, "H2", "10 kg")
    count(house, sheet, "K1", "1000 each")
    hand_in_count(sheet=sheet, **house.by("receiving"))
    house.move("H1", "STORE", "COLD", "5 kg", hours=4)
    assert book(house, sheet, by="receiving", reason="nothing is missing").state == "booked"
    assert house.held("H1", "STORE") == micro("15 kg")


def test_a_booking_that_the_ledger_refuses_books_nothing(house: Brewhouse, sheet: CountSheet):
    count(house, sheet, "H1", "5 kg", counted_at=at(5))
    count(house, sheet, "H2", "9 kg")
    count(house, sheet, "K1", "1000 each")
    hand_in_count(sheet=sheet, **house.by("receiving"))
    house.move("H1", "STORE", "COLD", "10 kg", hours=10)
    with refused(NotEnoughThere, "Dry store holds 10 kg of lot H1; 15 kg was asked for."):
        book(house, sheet)
    assert CountSheet.objects.get().state == "submitted"


def test_a_lot_that_the_book_does_not_have_there_is_found(house: Brewhouse, sheet: CountSheet):
    house.deliver("PILS", "M1", "100 kg", "SILO1", note="4")
    count(house, sheet, "M1", "25 kg")
    counted(house, sheet)
    book(house, sheet, reason="a bag stood behind the door")
    assert house.held("M1", "STORE") == micro("25 kg")


def test_what_no_lot_on_record_explains_is_noted_and_not_booked(house: Brewhouse, sheet: CountSheet):
    note_find(sheet=sheet, marking="XX-9", words="an open box of pellets, some 3 kg", **house.by("receiving"))
    waiting = counted(house, sheet)
    assert waiting.state == "submitted"
    book(house, sheet, by="quality", reason="the box is put aside")
    find = CountFind.objects.get()
    assert (find.marking, find.location.code, find.found_by.username) == ("XX-9", "STORE", "receiving")
    assert not Lot.objects.filter(code="XX-9").exists()


@pytest.mark.parametrize(("marking", "words", "field"), [("", "a box", "marking"), ("X", " ", "words")])
def test_a_find_says_what_it_is(house: Brewhouse, sheet: CountSheet, marking: str, words: str, field: str):
    with pytest.raises(InvalidInput) as refusal:
        note_find(sheet=sheet, marking=marking, words=words, **house.by("receiving"))
    assert refusal.value.field == field


def test_several_people_count_and_the_last_count_of_a_line_stands(house: Brewhouse, sheet: CountSheet):
    count(house, sheet, "H1", "18 kg", by="receiving")
    count(house, sheet, "H2", "10 kg", by="brewing")
    count(house, sheet, "H1", "20 kg", by="accounting")
    told = {
        line.lot.code: (line.counted_micro, line.counted_by and line.counted_by.username) for line in sheet.lines.all()
    }
    assert told == {"H1": (micro("20 kg"), "accounting"), "H2": (micro("10 kg"), "brewing"), "K1": (None, None)}


def test_nothing_of_a_lot_is_a_count_too(house: Brewhouse, sheet: CountSheet):
    counted(house, sheet, h2="0 kg")
    book(house, sheet, reason="gone")
    assert house.held("H2", "STORE") == 0


def test_a_sheet_is_handed_in_once_all_of_it_is_counted(house: Brewhouse, sheet: CountSheet):
    count(house, sheet, "H1", "20 kg")
    with refused(NotAllCounted, "2 lines are still to be counted: H2, K1.", field="sheet"):
        hand_in_count(sheet=sheet, **house.by("receiving"))


def test_an_empty_place_is_counted_by_what_is_found(house: Brewhouse):
    sheet = open_count(location=house.place("SILO2"), **house.by("receiving"))
    with refused(NotAllCounted, "0 lines are still to be counted: none."):
        hand_in_count(sheet=sheet, **house.by("receiving"))


def test_a_recount_asks_again_for_what_differs_alone(house: Brewhouse, sheet: CountSheet):
    counted(house, sheet, h1="15 kg")
    again = recount(sheet=sheet, **house.by("quality"))
    assert again.state == "counting"
    assert {line.lot.code: line.counted_micro for line in sheet.lines.all()} == {
        "H1": None,
        "H2": micro("10 kg"),
        "K1": micro("1000 each"),
    }
    count(house, sheet, "H1", "20 kg")
    assert hand_in_count(sheet=sheet, **house.by("receiving")).state == "booked"


def test_a_count_that_is_discarded_books_nothing_and_makes_room_for_another(house: Brewhouse, sheet: CountSheet):
    count(house, sheet, "H1", "1 kg")
    discard_count(sheet=sheet, **house.by("receiving"))
    assert list(open_sheets()) == []
    assert not Event.objects.filter(kind=Event.Kind.COUNT).exists()
    open_count(location=house.place("STORE"), **house.by("receiving"))


def test_a_place_is_counted_on_one_sheet_at_a_time(house: Brewhouse):
    with time_machine.travel("2026-12-01 09:30Z", tick=False):
        open_count(location=house.place("STORE"), **house.by("receiving"))
        open_count(material=house.material("SAAZ"), **house.by("receiving"))
    with refused(CountUnderWay, "Dry store is being counted since 2026-12-01 10:30.", field="location"):
        open_count(location=house.place("STORE"), **house.by("brewing"))
    with refused(CountUnderWay, "Saaz is being counted since 2026-12-01 10:30.", field="material"):
        open_count(material=house.material("SAAZ"), **house.by("brewing"))


def test_two_sheets_of_one_lot_at_one_time_do_not_book_its_difference_twice(house: Brewhouse, sheet: CountSheet):
    other = open_count(material=house.material("SAAZ"), **house.by("brewing"))
    moment = timezone.now()
    for place, quantity in (("STORE", "19.8 kg"), ("COLD", "5 kg")):
        count(house, other, "H1", quantity, location=house.place(place), counted_at=moment)
    hand_in_count(sheet=other, **house.by("receiving"))
    count(house, sheet, "H1", "19.8 kg", counted_at=moment)
    count(house, sheet, "H2", "10 kg")
    count(house, sheet, "K1", "1000 each")
    hand_in_count(sheet=sheet, **house.by("receiving"))
    for one in (other, sheet):
        book(house, one)
    assert house.held("H1", "STORE") == micro("19.8 kg")


def test_what_cannot_be_counted_is_refused(house: Brewhouse, sheet: CountSheet):
    hops = open_count(material=house.material("SAAZ"), **house.by("receiving"))
    with refused(NotOnThisSheet, "Lot H2 is of Cascade; this sheet counts Saaz.", field="lot"):
        count(house, hops, "H2", "1 kg", location=house.place("STORE"))
    with refused(InvalidInput, "location: '' is not valid. Say where it lies.", field="location"):
        count(house, hops, "H1", "1 kg")
    with refused(WrongPlace, "Laboratory is a laboratory; this needs a store, silo, brink or tank."):
        count(house, hops, "H1", "1 kg", location=house.place("LAB"))
    with refused(CountedElsewhere, "This sheet counts Dry store, and not Cold store.", field="location"):
        count(house, sheet, "H1", "1 kg", location=house.place("COLD"))
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="counted_at"):
        count(house, sheet, "H1", "1 kg", counted_at=at(24 * 36500))
    with pytest.raises(InvalidInput):
        count(house, sheet, "H1", "-1 kg")
    with pytest.raises(InvalidInput):
        open_count(**house.by("receiving"))
    with pytest.raises(InvalidInput):
        open_count(location=house.place("COLD"), material=house.material("SAAZ"), **house.by("receiving"))
    with pytest.raises(WrongPlace):
        open_count(location=house.place("LAB"), **house.by("receiving"))


def test_a_count_that_is_booked_is_past_everything(house: Brewhouse, sheet: CountSheet):
    counted(house, sheet)
    told = f"Count {sheet.pk} is booked; this needs one that is"
    for wanted, again in (
        ("counting", lambda: count(house, sheet, "H1", "1 kg")),
        ("counting", lambda: note_find(sheet=sheet, marking="X", words="a box", **house.by("receiving"))),
        ("counting", lambda: hand_in_count(sheet=sheet, **house.by("receiving"))),
        ("handed in", lambda: book(house, sheet)),
        ("handed in", lambda: recount(sheet=sheet, **house.by("receiving"))),
        ("counting or handed in", lambda: discard_count(sheet=sheet, **house.by("receiving"))),
    ):
        with refused(SheetNotInState, f"{told} {wanted}."):
            again()


@pytest.mark.parametrize("asked", [{"state": "counting"}, {"version": 7}])
def test_the_database_keeps_a_count_that_has_ended(house: Brewhouse, sheet: CountSheet, asked: dict[str, Any]):
    counted(house, sheet)
    with pytest.raises(IntegrityError, match="a_count_ends_once"), transaction.atomic():
        CountSheet.objects.update(**asked)


def test_the_database_keeps_the_lines_of_a_count(house: Brewhouse, sheet: CountSheet):
    with pytest.raises(IntegrityError, match="a_line_of_a_count_is_kept"), transaction.atomic():
        sheet.lines.all().delete()
    counted(house, sheet)
    with pytest.raises(IntegrityError, match="a_count_that_is_booked_stays"), transaction.atomic():
        sheet.lines.update(counted_micro=1)


def test_a_count_that_is_asked_for_again_is_the_same(house: Brewhouse, sheet: CountSheet):
    who = house.by("receiving")
    asked = {"sheet": sheet, "lot": house.lot("H1"), "counted_micro": 5}
    assert enter_count(**asked, **who) == enter_count(**asked, **who)
    assert CountSheet.objects.get(pk=sheet.pk).version == 2


def test_the_number_of_statements_of_a_booking_grows_with_its_lines_only_where_each_writes(
    house: Brewhouse, django_assert_max_num_queries
):
    """What is asked about all lines is asked once; each line then writes its own event."""
    for number in range(20):
        house.deliver("SAAZ", f"L{number}", "1 kg", "COLD", note=f"L{number}")
    with django_assert_max_num_queries(12):
        sheet = open_count(location=house.place("COLD"), **house.by("receiving"))
    for line in sheet.lines.select_related("lot"):
        enter_count(sheet=sheet, lot=line.lot, counted_micro=7, **house.by("receiving"))
    with django_assert_max_num_queries(16):
        hand_in_count(sheet=sheet, **house.by("receiving"))
