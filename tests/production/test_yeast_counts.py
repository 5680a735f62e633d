"""Counts of yeast by the brewers: foretold anew from them, corrected with the old kept, and no way round quality."""

from typing import Any

import pytest

from brewery.kernel.errors import SeveralInvalid
from brewery.production.queries.yeast_counts import measurements_of
from brewery.production.queries.yeast_states import YeastState, states_of
from brewery.production.services.yeast_counts import NotAnOwnCount, count_yeast
from inventory.models import Certificate, Event, Location
from inventory.services.certificates import AlreadyReplaced
from inventory.services.refusals import BeforeItsLot, NothingToDo, WrongMaterial
from tests.brewhouse import START, Brewhouse, at, micro
from tests.inventory.laboratory import Laboratory
from tests.ledger import postings, refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """A laboratory counted 97 % of Y1 alive on the first day; it lies in the cold store, at 2 °C."""
    brewhouse.deliver("YEAST", "Y1", "50 kg", "COLD")
    Location.objects.filter(code="COLD").update(nominal_milli_c=2000)
    Laboratory(brewhouse).enter("Y1", values={"viability": "97"}, number="V-1", issued_on=START.date())
    return brewhouse


def count(house: Brewhouse, hours: float, lot: str = "Y1", **more: Any) -> Certificate:
    counts = {key: more.pop(key) for key in ("viability", "wild_yeast", "bacteria", "alpha") if key in more}
    return count_yeast(lot=house.lot(lot), counts=counts, happened_at=at(hours), **house.by("brewing"), **more)


def state(house: Brewhouse, hours: float) -> YeastState:
    (found,) = states_of([(house.lot("Y1"), house.place("COLD"))], at(hours))
    return found


def test_what_is_alive_is_foretold_anew_from_a_count(house: Brewhouse):
    before = state(house, 240).viability_pct
    count(house, 120, viability="90")
    now = state(house, 120)
    assert (now.viability_pct, now.is_predicted) == (90, False)
    assert now.why == "by the brewers' own count of 2026-03-07"
    later = state(house, 240).viability_pct
    assert later is not None
    assert before is not None
    assert later < before < 97


def test_a_correction_counts_and_the_old_value_stays_on_record(house: Brewhouse):
    slip = count(house, 120, viability="9")
    count(house, 120, viability="90", replaces=slip)
    assert state(house, 120).viability_pct == 90
    told = [(one.stated[0][1], one.is_corrected) for one in measurements_of(house.lot("Y1"))]
    assert told == [("90 %", False), ("9 %", True), ("97 %", False)]
    with pytest.raises(AlreadyReplaced):
        count(house, 121, viability="91", replaces=slip)


def test_what_there_is_puts_the_book_right_with_the_count(house: Brewhouse):
    (part,) = house.parts([("Y1", "COLD", "48 kg")])
    made = count(house, 120, viability="90", measured=part)
    event = Event.objects.get(kind=Event.Kind.COUNT)
    assert postings(event) == {("Y1", "COLD", "count_difference", "2 kg")}
    assert (event.request_id, event.reason) == (made.request_id, "Measured with the count")


def test_a_laboratorys_figures_are_not_corrected_by_a_count(house: Brewhouse):
    words = "What is corrected of lot Y1 was not counted by the brewers: a laboratory stated it."
    with refused(NotAnOwnCount, words, field="replaces"):
        count(house, 120, viability="99", replaces=Certificate.objects.get(number="V-1"))


def test_what_a_laboratory_found_no_own_count_lifts(house: Brewhouse):
    Laboratory(house).enter("Y1", values={"bacteria": "> 5"}, number="V-2", issued_on=START.date())
    count(house, 120, bacteria="0")
    assert state(house, 120).is_infected


def test_wild_yeast_of_a_hundred_in_a_million_is_a_find(house: Brewhouse):
    count(house, 120, wild_yeast="99")
    assert not state(house, 120).is_infected
    count(house, 121, wild_yeast="100")
    assert state(house, 121).is_infected


def test_a_count_quarantines_and_never_releases(house: Brewhouse):
    Laboratory(house).ask("YEAST", "viability", least="95")
    slip = count(house, 120, viability="9")
    assert house.lot("Y1").disposition == "quarantined"
    count(house, 120, viability="96", replaces=slip)
    assert house.lot("Y1").disposition == "quarantined"


def test_what_cannot_be_is_refused_by_its_name(house: Brewhouse):
    with pytest.raises(SeveralInvalid) as caught:
        count(house, 120, viability="112", alpha="4")
    assert [fault.field for fault in caught.value.all_faults()] == ["viability", "alpha"]
    with pytest.raises(NothingToDo):
        count(house, 120)
    with pytest.raises(BeforeItsLot):
        count(house, -1, viability="97")
    house.deliver("SAAZ", "H1", "20 kg")
    with pytest.raises(WrongMaterial):
        count(house, 120, "H1", viability="97")


def test_a_count_sent_twice_is_one(house: Brewhouse):
    asked = {"lot": house.lot("Y1"), "counts": {"viability": "90"}, "happened_at": at(120), **house.by("brewing")}
    assert count_yeast(**asked) == count_yeast(**asked)
    assert house.held("Y1", "COLD") == micro("50 kg")
