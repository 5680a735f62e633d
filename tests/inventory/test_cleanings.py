"""Cleanings and vessels out of service: what may be filled, and what an uncleaned vessel passes on."""

import pytest
from django.db import IntegrityError, transaction

from inventory.models import Cleaning, Link, Location, Lot, ServiceMark, UncleanFill
from inventory.pages.choices import offers
from inventory.queries.audits import run_audits
from inventory.queries.vessels import State, VesselState, in_service, occupations_of, state_of, states_at
from inventory.services.cleanings import CleaningWithdrawn, clean_vessel
from inventory.services.refusals import (
    InTheFuture,
    OneCodeForSeveralVessels,
    ReasonMissing,
    UncleanContentsCodeMissing,
    VesselInUse,
    VesselNotClean,
    VesselOutOfService,
    WrongPlace,
)
from inventory.services.registers import add_location
from inventory.services.vessels import MarkedAlready, set_cleaning_rule
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import refused
from tests.standing import built_once
from traceability.queries.graph import Direction
from traceability.queries.mass_balance import mass_balance
from traceability.queries.trace import trace

pytestmark = pytest.mark.django_db


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """T1 lay in FV1 until it went to BT1 at hour 100; FV2 holds T2."""
    brewhouse.stock_up()
    brewhouse.ferment()
    brewhouse.ferment(number=2, vessel="FV2", hours=20)
    brewhouse.transfer("FV1", "BT1", "1000 L", hours=100)
    return brewhouse


def fv1(house: Brewhouse, hours: float | None = None) -> VesselState:
    return state_of(house.place("FV1"), None if hours is None else at(hours))


def carried(code: str) -> list[tuple[str, int]]:
    links = Link.objects.filter(child__code=code, kind=Link.Kind.CARRYOVER, reversed_by=None)
    return list(links.values_list("parent__code", "quantity_micro"))


def test_a_vessel_is_in_use_then_empty_then_clean_then_out_of_service(house: Brewhouse):
    house.clean("FV1", hours=110)
    house.out_of_service("FV1", hours=120)
    house.into_service("FV1", hours=130)
    told = {hours: fv1(house, hours) for hours in (1, 50, 105, 115, 125, 135)}
    assert [told[hours].state for hours in told] == [
        State.EMPTY,
        State.IN_USE,
        State.EMPTY,
        State.CLEAN,
        State.OUT_OF_SERVICE,
        State.CLEAN,
    ]
    assert [told[hours].since for hours in told] == [None, at(11), at(100), at(110), at(120), at(110)]
    assert (told[50].held_micro, told[50].room_micro) == (micro("1000 L"), micro("3000 L"))
    assert [one.lot.code for one in told[50].contents] == ["T1"]
    left = told[105].lay_last
    assert left
    assert (left.lot.code, left.since, left.until, left.most_micro) == ("T1", at(11), at(100), micro("1000 L"))


def test_a_vessels_occupations_are_the_lots_that_lay_in_it(house: Brewhouse):
    told = [(one.lot.code, one.since, one.until) for one in occupations_of(house.place("FV1"))]
    assert told == [("W1", at(10), at(11)), ("T1", at(11), at(100))]


def test_what_was_reversed_never_lay_there(house: Brewhouse):
    mistake = house.transfer("FV2", "FV1", "100 L", hours=110, contents="U1", unclean="in haste")
    house.reverse(mistake)
    assert [one.lot.code for one in occupations_of(house.place("FV1"))] == ["W1", "T1"]
    assert fv1(house).residue == house.lot("T1")


def test_the_states_of_many_vessels_take_as_many_queries_as_those_of_one(house: Brewhouse, django_assert_num_queries):
    for codes in (["FV1"], ["FV1", "FV2", "BT1", "BRINK1", "SILO1"]):
        places = [house.place(code) for code in codes]
        with django_assert_num_queries(4):
            states_at(places)


def test_an_uncleaned_vessel_is_filled_only_with_a_reason(house: Brewhouse):
    sentence = "Fermenter 1 was not cleaned after lot T1 had lain in it."
    with refused(VesselNotClean, sentence, field="unclean_reason"):
        house.transfer("FV2", "FV1", "500 L", hours=110)
    house.clean("FV1", hours=110)
    house.transfer("FV2", "FV1", "500 L", hours=110)
    assert house.held("T2", "FV1") == micro("500 L")
    assert not UncleanFill.objects.exists()


def test_a_lot_may_come_back_to_where_it_lay_last(house: Brewhouse):
    house.transfer("BT1", "FV1", "500 L", hours=110)
    assert house.held("T1", "FV1") == micro("500 L")


def test_only_what_went_into_the_uncleaned_tank_carries_the_residue(house: Brewhouse):
    house.transfer("FV2", "FV1", "400 L", loss="5 L", hours=110, contents="U1", unclean="the pump is down")
    assert (house.held("U1", "FV1"), house.held("T2", "FV2")) == (micro("400 L"), micro("595 L"))
    assert carried("U1") == [("T1", 0)]
    assert carried("T2") == []
    assert house.lot("U1").generation == house.lot("T2").generation
    (fill,) = UncleanFill.objects.all()
    assert (fill.vessel.code, fill.before.code, fill.reason) == ("FV1", "T1", "the pump is down")
    back = trace(house.lot("U1"), Direction.BACK)
    assert back.amounts[house.lot("T1").pk] == 0
    assert house.lot("U1").pk in trace(house.lot("W1"), Direction.FORWARD).reached
    assert all(mass_balance(lot).closes for lot in Lot.objects.select_related("material"))


def test_a_part_that_goes_into_an_uncleaned_tank_needs_a_code_of_its_own(house: Brewhouse):
    sentence = "Fermenter 1 holds the residue of lot T1: what of lot T2 goes in becomes a lot that says so."
    with refused(UncleanContentsCodeMissing, sentence, field="contents_code"):
        house.transfer("FV2", "FV1", "400 L", hours=110, unclean="the pump is down")


def test_wort_for_one_uncleaned_tank_carries_the_residue_itself(house: Brewhouse):
    brew = house.start_brew("B3", hours=101)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=101)
    house.knock_out(brew, "W3", {"FV1": "500 L"}, loss="10 L", hours=110, unclean="rinsed only")
    assert carried("W3") == [("T1", 0)]


def test_wort_for_several_tanks_carries_the_residue_only_where_it_met_it(house: Brewhouse):
    house.transfer("FV2", "BT1", "1000 L", hours=101, contents="X1")
    house.clean("FV2", hours=102)
    brew = house.start_brew("B3", hours=103)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=103)
    house.knock_out(brew, "W3", {"FV1": ("500 L", "U3"), "FV2": "400 L"}, hours=110, unclean="rinsed only")
    assert (house.held("U3", "FV1"), house.held("W3", "FV2")) == (micro("500 L"), micro("400 L"))
    assert (carried("U3"), carried("W3")) == ([("T1", 0)], [])


def test_filtered_beer_and_a_crop_carry_the_residue(house: Brewhouse):
    house.filter("FV2", "FV1", "BB2", "900 L", hours=110, unclean="rinsed only")
    assert carried("BB2") == [("T1", 0)]
    house.move("Y1", "COLD", "BRINK1", "5 kg", hours=111)
    house.destroy("Y1", "BRINK1", "5 kg", hours=112)
    house.harvest("BT1", "10 L", "Y2", "12 kg", hours=113, unclean="rinsed only")
    assert sorted(carried("Y2")) == [("T1", micro("10 L")), ("Y1", 0)]


def test_yeast_moved_and_yeast_delivered_into_an_uncleaned_brink_carry_the_residue(house: Brewhouse):
    house.harvest("BT1", "10 L", "Y2", "12 kg", hours=113)
    house.destroy("Y2", "BRINK1", "12 kg", hours=114)
    house.move("Y1", "COLD", "BRINK1", "5 kg", hours=115, contents="Y3", unclean="in haste")
    assert carried("Y3") == [("Y2", 0)]
    assert (house.held("Y3", "BRINK1"), house.lot("Y3").generation) == (micro("5 kg"), 1)
    house.destroy("Y3", "BRINK1", "5 kg", hours=116)
    sentence = "Yeast brink 1 was not cleaned after lot Y3 had lain in it."
    with refused(VesselNotClean, sentence, field="unclean_reason"):
        house.deliver("YEAST", "Y4", "20 kg", "BRINK1", hours=117)
    house.deliver("YEAST", "Y4", "20 kg", "BRINK1", hours=117, unclean="it came too early")
    assert carried("Y4") == [("Y3", 0)]


def test_a_fill_told_late_asks_what_was_so_then(house: Brewhouse):
    house.clean("FV1", hours=150)
    sentence = "Fermenter 1 was not cleaned after lot T1 had lain in it."
    with refused(VesselNotClean, sentence, field="unclean_reason"):
        house.transfer("FV2", "FV1", "400 L", hours=149)
    house.transfer("FV2", "FV1", "400 L", hours=151)


def test_a_reversed_fill_takes_its_residue_along(house: Brewhouse):
    mistake = house.transfer("FV2", "FV1", "400 L", hours=110, contents="U1", unclean="the pump is down")
    house.reverse(mistake)
    assert carried("U1") == []
    assert house.held("T2", "FV2") == micro("1000 L")
    house.transfer("FV2", "FV1", "300 L", hours=110, contents="U1", unclean="the pump is down")
    assert carried("U1") == [("T1", 0)]


def test_a_vessel_is_not_cleaned_while_something_lies_in_it(house: Brewhouse):
    sentence = "At 2026-03-04 11:00, Fermenter 1 holds lot T1."
    with refused(VesselInUse, sentence, field="happened_at"):
        house.clean("FV1", hours=50)
    with refused(InTheFuture, "2300-01-01 01:00 has not come yet.", field="happened_at"):
        house.clean("FV1", hours=2400376)
    with refused(WrongPlace, "Dry store is a store; this needs a tank, brink or silo.", field="vessel"):
        house.clean("STORE", hours=50)


def test_a_withdrawn_cleaning_was_never_done(house: Brewhouse):
    cleaning = house.clean("FV1", hours=110)
    withdrawal = house.withdraw(cleaning)
    assert withdrawal.withdraws == cleaning
    assert fv1(house).state == State.EMPTY
    sentence = "The cleaning of Fermenter 1 at 2026-03-06 23:00 was withdrawn already, or is itself a withdrawal."
    for again in (cleaning, withdrawal):
        with refused(CleaningWithdrawn, sentence, field="cleaning"):
            house.withdraw(again)
    with refused(ReasonMissing, "The withdrawal of a cleaning needs a reason.", field="reason"):
        house.withdraw(cleaning, reason="")


def test_an_audit_names_what_was_filled_on_the_strength_of_a_cleaning_that_was_withdrawn(house: Brewhouse):
    cleaning = house.clean("FV1", hours=110)
    filled = house.transfer("FV2", "FV1", "400 L", hours=111)
    assert [finding for _, findings in run_audits() for finding in findings] == []
    house.withdraw(cleaning)
    (finding,) = [finding for _, findings in run_audits() for finding in findings]
    assert (finding.audit, finding.row) == ("vessels_were_clean_when_they_were_filled", filled.pk)
    house.clean("FV1", hours=110.5)
    assert [finding for _, findings in run_audits() for finding in findings] == []


def test_the_same_cleaning_asked_for_twice_is_one(house: Brewhouse):
    asked = {"vessel": house.place("FV1"), "programme": "acid", "happened_at": at(110), **house.by("brewing")}
    assert clean_vessel(**asked) == clean_vessel(**asked)
    assert Cleaning.objects.count() == 1


def test_a_vessel_out_of_service_is_not_filled(house: Brewhouse):
    house.clean("FV1", hours=101)
    house.out_of_service("FV1", hours=102)
    sentence = "Fermenter 1 is out of service since 2026-03-06 15:00: the manway leaks."
    with refused(VesselOutOfService, sentence, field="location"):
        house.transfer("FV2", "FV1", "400 L", hours=110)
    sentence = "At 2026-03-06 16:00, Fermenter 1 is out of service already."
    with refused(MarkedAlready, sentence, field="happened_at"):
        house.out_of_service("FV1", hours=103)
    house.into_service("FV1", hours=105)
    house.transfer("FV2", "FV1", "400 L", hours=110)
    with refused(VesselInUse, "At 2026-03-07 00:00, Fermenter 1 holds lot T2.", field="happened_at"):
        house.out_of_service("FV1", hours=111)


def test_a_vessel_that_need_not_be_cleaned_is_filled_as_it_is(house: Brewhouse):
    vessel = set_cleaning_rule(vessel=house.place("FV1"), must_be_cleaned=False, **house.by("administration"))
    assert not vessel.must_be_cleaned
    house.transfer("FV2", "FV1", "400 L", hours=110)
    assert house.held("T2", "FV1") == micro("400 L")


def test_tanks_and_brinks_must_be_cleaned_and_nothing_else_unless_it_is_said(brewhouse: Brewhouse):
    rules = {code: brewhouse.place(code).must_be_cleaned for code in ("FV1", "BT1", "BRINK1", "SILO1", "STORE")}
    assert rules == {"FV1": True, "BT1": True, "BRINK1": True, "SILO1": False, "STORE": False}
    silo = add_location(
        code="S3",
        name="Silo 3",
        kind="silo",
        filling="mixed",
        must_be_cleaned=True,
        **brewhouse.by("administration"),
    )
    assert silo.must_be_cleaned


@pytest.mark.parametrize("model", [Cleaning, ServiceMark, UncleanFill])
def test_what_was_written_of_a_vessel_is_never_changed_or_deleted(house: Brewhouse, model):
    house.out_of_service("FV1", hours=101)
    house.into_service("FV1", hours=102)
    house.transfer("FV2", "FV1", "400 L", hours=110, contents="U1", unclean="the pump is down")
    house.transfer("FV1", "BT1", "400 L", hours=111, contents="X1")
    house.clean("FV1", hours=112)
    column = "programme" if model is Cleaning else "reason"
    with pytest.raises(IntegrityError, match="never_changed"), transaction.atomic():
        model.objects.update(**{column: "otherwise"})
    with pytest.raises(IntegrityError, match="never_deleted"), transaction.atomic():
        model.objects.all()._raw_delete(model.objects.db)


def test_yeast_brought_back_into_an_uncleaned_brink_carries_the_residue(house: Brewhouse):
    house.harvest("BT1", "10 L", "Y2", "12 kg", hours=113)
    house.destroy("Y2", "BRINK1", "12 kg", hours=114)
    brew = house.start_brew("B3", hours=115)
    house.draw(brew, ("Y1", "COLD", "5 kg"), hours=115)
    back = ("Y1", "BRINK1", "5 kg")
    with refused(VesselNotClean, "Yeast brink 1 was not cleaned after lot Y2 had lain in it.", field="unclean_reason"):
        house.bring_back(brew, back, hours=116)
    house.bring_back(brew, back, hours=116, contents="Y3", unclean="the other brink is full")
    assert carried("Y3") == [("Y2", 0)]
    assert house.held("Y3", "BRINK1") == micro("5 kg")


def test_one_code_does_not_name_what_comes_back_into_two_uncleaned_brinks(house: Brewhouse):
    add_location(code="BRINK9", name="Yeast brink 9", kind="brink", **house.by("administration"))
    house.harvest("BT1", "10 L", "Y2", "12 kg", hours=113)
    house.move("Y2", "BRINK1", "BRINK9", "6 kg", hours=114)
    house.destroy("Y2", "BRINK9", "6 kg", hours=114)
    house.destroy("Y2", "BRINK1", "6 kg", hours=114)
    brew = house.start_brew("B3", hours=115)
    house.draw(brew, ("Y1", "COLD", "5 kg"), hours=115)
    back = [("Y1", "BRINK1", "2 kg"), ("Y1", "BRINK9", "3 kg")]
    sentence = "Yeast brink 1 and Yeast brink 9 were not cleaned, and code Y3 can name only what goes into one of them."
    with refused(OneCodeForSeveralVessels, sentence, field="contents_code"):
        house.bring_back(brew, *back, hours=116, contents="Y3", unclean="both are needed")


def test_only_what_is_in_service_is_offered_to_be_filled(house: Brewhouse):
    places = Location.objects.filter(code__in=("BRINK1", "STORE"))
    house.out_of_service("BRINK1", hours=113, reason="the valve leaks")
    assert [place.code for place in in_service(places)] == ["STORE"]
    assert "BRINK1" not in {place.code for one in offers("places", "counted-places") for place in one["rows"]}
    house.into_service("BRINK1", hours=114, reason="mended")
    assert [place.code for place in in_service(places)] == ["BRINK1", "STORE"]
