"""Counts and gauges: the book says what was found, and the difference stays on record."""

from brewery.kernel.errors import InvalidInput
from inventory.models import Event
from inventory.services.counts import count_stock
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    MadeByMistake,
    NotEnoughThen,
    NotEnoughThere,
    ReasonMissing,
    VesselOccupied,
    WrongPlace,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused


def test_what_is_missing_goes_to_count_difference(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    event = brewhouse.count("H1", "STORE", "18.5 kg", hours=1, reason="torn bag")
    assert postings(event) == {("H1", "STORE", "count_difference", "1.5 kg")}
    assert links(event) == set()
    assert event.reason == "torn bag"
    lot = brewhouse.lot("H1")
    assert (lot.counted_micro, lot.total_micro) == (-micro("1.5 kg"), micro("20 kg"))


def test_what_is_found_comes_from_count_difference_and_makes_the_lot_larger(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    event = brewhouse.count("H1", "STORE", "21 kg", hours=1)
    assert postings(event) == {("H1", "count_difference", "STORE", "1 kg")}
    assert brewhouse.held("H1", "STORE") == micro("21 kg")
    assert brewhouse.lot("H1").total_micro == micro("21 kg")


def test_a_gain_is_taken_back_before_anything_is_lost(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.count("H1", "STORE", "23 kg", hours=1)
    brewhouse.count("H1", "STORE", "21 kg", hours=2)
    assert (brewhouse.lot("H1").counted_micro, brewhouse.lot("H1").total_micro) == (micro("1 kg"), micro("21 kg"))
    brewhouse.count("H1", "STORE", "16 kg", hours=3)
    assert (brewhouse.lot("H1").counted_micro, brewhouse.lot("H1").total_micro) == (-micro("4 kg"), micro("20 kg"))


def test_a_count_that_agrees_is_on_record_without_a_posting_or_a_reason(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    event = brewhouse.count("H1", "STORE", "20 kg", hours=1, reason="")
    assert (event.kind, postings(event)) == (Event.Kind.COUNT, set())
    assert brewhouse.lot("H1").counted_micro == 0


def test_a_lot_that_is_gone_is_counted_as_nothing(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.count("H1", "STORE", "0 kg", hours=1)
    assert brewhouse.held("H1", "STORE") == 0


def test_a_lot_is_found_where_the_book_had_none(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.count("H1", "COLD", "2 kg", hours=1)
    assert (brewhouse.held("H1", "COLD"), brewhouse.held("H1", "STORE")) == (micro("2 kg"), micro("20 kg"))


def test_a_count_told_late_is_measured_against_the_book_of_that_moment(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.move("H1", "STORE", "COLD", "5 kg", hours=10)
    event = brewhouse.count("H1", "STORE", "19 kg", hours=5)
    assert postings(event) == {("H1", "STORE", "count_difference", "1 kg")}
    assert brewhouse.held("H1", "STORE") == micro("14 kg")


def test_a_count_told_late_that_leaves_too_little_for_what_came_after_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.move("H1", "STORE", "COLD", "15 kg", hours=10)
    brewhouse.move("H1", "COLD", "STORE", "15 kg", hours=20)
    sentence = "At 2026-03-02 19:00, Dry store would have held 1 kg less than nothing of lot H1."
    with refused(NotEnoughThen, sentence, field="happened_at"):
        brewhouse.count("H1", "STORE", "14 kg", hours=5)


def test_a_count_told_late_of_what_has_gone_since_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.move("H1", "STORE", "COLD", "15 kg", hours=10)
    with refused(NotEnoughThere, "Dry store holds 5 kg of lot H1; 6 kg was asked for."):
        brewhouse.count("H1", "STORE", "14 kg", hours=5)


def test_a_gauge_of_a_tank_is_a_count_of_its_contents(brewhouse: Brewhouse):
    brewhouse.stock_up()
    brewhouse.ferment()
    event = brewhouse.count("T1", "FV1", "990 L", hours=50, reason="gauge")
    assert postings(event) == {("T1", "FV1", "count_difference", "10 L")}


def test_a_difference_without_a_reason_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    with refused(ReasonMissing, "A count that differs from the book needs a reason.", field="reason"):
        brewhouse.count("H1", "STORE", "19 kg", hours=1, reason="")


def test_a_count_below_zero_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    with refused(InvalidInput, "counted: '-0.000001 kg' is not valid. A count is never below zero.", field="counted"):
        brewhouse.count("H1", "STORE", "-0.000001 kg", hours=1)


def test_a_count_at_a_place_that_is_not_counted_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    sentence = "Stowfield Maltings is a supplier; this needs a store, silo, brink or tank."
    with refused(WrongPlace, sentence, field="location"):
        brewhouse.count("H1", "supplier:MALTINGS", "1 kg", hours=1)


def test_a_lot_found_in_a_vessel_that_holds_another_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("YEAST", "Y1", "5 kg", "BRINK1")
    brewhouse.deliver("YEAST", "Y2", "5 kg", "COLD")
    with refused(VesselOccupied, "Yeast brink 1 holds lot Y1, so lot Y2 cannot go in beside it."):
        brewhouse.count("Y2", "BRINK1", "1 kg", hours=1)


def test_a_count_before_the_lot_came_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=5)
    with refused(BeforeItsLot, "Lot H1 was made at 2026-03-02 14:00, after 2026-03-02 13:00."):
        brewhouse.count("H1", "STORE", "1 kg", hours=4)


def test_a_count_in_the_future_is_refused(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet."):
        brewhouse.count("H1", "STORE", "1 kg", hours=24 * 36500)


def test_a_lot_that_was_made_by_mistake_is_not_found_again(brewhouse: Brewhouse):
    mistake = brewhouse.deliver("SAAZ", "H1", "20 kg")
    lot = brewhouse.lot("H1")
    brewhouse.reverse(mistake)
    facts = {"location": brewhouse.place("STORE"), "counted_micro": 1, "reason": "found", "happened_at": at(1)}
    with refused(MadeByMistake, "Lot H1 was recorded by mistake, and that record was reversed.", field="lot"):
        count_stock(lot=lot, **facts, **brewhouse.by("accounting"))
