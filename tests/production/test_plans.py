"""Planned brews: planned, changed, called off, started; what is kept for them, and what is short on which day."""

from datetime import date, timedelta

import pytest

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.errors import InvalidInput
from brewery.production.models import BrewPlan, BrewSheet
from brewery.production.queries.needs import brewable, needs_of, open_plans, shortages
from brewery.production.queries.pick_lists import pick_list_of
from brewery.production.services.plan_refusals import PlanChangedMeanwhile, PlanNotOpen, VesselTaken
from brewery.production.services.plans import call_off_plan, change_plan, plan_brew, reserve_for_plan, start_plan
from brewery.production.services.sheet_refusals import SheetNotInUse
from inventory.models import Reservation
from inventory.queries.reservations import kept_now
from inventory.services.orders import OrderedLine, enter_order
from inventory.services.refusals import ReasonMissing, WrongPlace
from inventory.services.registers import add_material
from inventory.services.reservations import reserve
from tests.brewhouse import START, Brewhouse, at, micro
from tests.inventory.laboratory import Laboratory
from tests.ledger import refused
from tests.production.brewday import sheet_of
from tests.standing import built_once


def in_days(days: int) -> date:
    return brewery_day() + timedelta(days=days)


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """A sheet of 200 kg of Pilsner malt and 100 g alpha; 300 kg and 20 kg of Saaz of 4 % are here, good for a year."""
    good = in_days(365)
    brewhouse.deliver("PILS", "M1", "250 kg", best_before=good)
    brewhouse.deliver("PILS", "M2", "50 kg", best_before=in_days(20), note="2")
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD", best_before=good)
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    sheet_of(brewhouse)
    return brewhouse


def plan(house: Brewhouse, code: str = "P1", days: int = 7, **facts) -> BrewPlan:
    asked = {"sheet": BrewSheet.objects.get(version=1), "brew_on": in_days(days), **facts}
    return plan_brew(code=code, **asked, **house.by("brewing"))


def kept(purpose: str) -> dict[str, int]:
    return {
        one.reservation.lot.code: one.kept_micro
        for one in kept_now(brewery_day())
        if one.reservation.purpose == purpose
    }


def test_a_plan_is_for_the_length_of_its_sheet_unless_another_is_given(house: Brewhouse):
    assert plan(house).cold_wort_micro == micro("1000 L")
    assert plan(house, "P2", cold_wort_micro=micro("500 L")).cold_wort_micro == micro("500 L")
    assert [one.code for one in open_plans()] == ["P1", "P2"]


@pytest.mark.parametrize("taken", ["P1", "STORE"])
def test_a_code_is_planned_once_and_is_no_place(house: Brewhouse, taken: str):
    plan(house)
    with pytest.raises(InvalidInput, match="in use already"):
        plan(house, taken)


def test_only_a_sheet_in_use_is_planned_and_only_for_a_tank(house: Brewhouse):
    with pytest.raises(SheetNotInUse):
        plan(house, sheet=sheet_of(house, state=BrewSheet.State.DRAFT))
    with pytest.raises(WrongPlace):
        plan_brew(
            code="P2",
            sheet=BrewSheet.objects.get(version=1),
            brew_on=in_days(7),
            vessel=house.place("STORE"),
            **house.by("brewing"),
        )


def test_a_tank_is_filled_by_one_beer_a_day(house: Brewhouse):
    plan(house, vessel=house.place("FV1"))
    plan(house, "P2", vessel=house.place("FV1"))  # a second brew of the same beer may go in
    stout = add_material(code="STOUT", name="Quillmere Stout", kind="beer", base_unit="L", **house.by("administration"))
    draft = sheet_of(house, state=BrewSheet.State.DRAFT)
    draft.beer, draft.state, draft.put_in_use_at = stout, BrewSheet.State.IN_USE, at(0)
    draft.save()
    sentence = f"Fermenter 1 is to be filled by P1 on {in_days(7).isoformat()}."
    with refused(VesselTaken, sentence, field="vessel"):
        plan(house, "P3", sheet=draft, vessel=house.place("FV1"))
    plan(house, "P3", sheet=draft, vessel=house.place("FV2"))


def test_a_plan_is_changed_as_it_was_seen(house: Brewhouse):
    first = plan(house)
    changed = change_plan(plan=first, revision=1, changes={"brew_on": in_days(9)}, **house.by("brewing"))
    assert (changed.brew_on, changed.revision) == (in_days(9), 2)
    with refused(PlanChangedMeanwhile, "Plan P1 is at revision 2; you looked at revision 1.", field="revision"):
        change_plan(plan=first, revision=1, changes={"brew_on": in_days(8)}, **house.by("brewing"))


def test_what_is_kept_for_a_plan_is_the_first_to_expire(house: Brewhouse):
    reserve_for_plan(plan=plan(house), **house.by("brewing"))
    # M2 is good until day 20; hops for 100 g of alpha at 4 % weigh 2.5 kg.
    assert kept("P1") == {"M2": micro("50 kg"), "M1": micro("150 kg"), "H1": micro("2.5 kg")}
    assert {one.until for one in Reservation.objects.all()} == {in_days(7)}


def test_keeping_again_follows_the_plan_as_it_is_now(house: Brewhouse):
    first = plan(house)
    reserve_for_plan(plan=first, **house.by("brewing"))
    change_plan(plan=first, revision=1, changes={"cold_wort_micro": micro("500 L")}, **house.by("brewing"))
    reserve_for_plan(plan=first, **house.by("brewing"))
    assert kept("P1") == {"M2": micro("50 kg"), "M1": micro("50 kg"), "H1": micro("1.25 kg")}


def test_a_plan_that_is_called_off_lets_everything_go(house: Brewhouse):
    first = plan(house)
    reserve_for_plan(plan=first, **house.by("brewing"))
    with refused(ReasonMissing, "Calling off a brew needs a reason.", field="reason"):
        call_off_plan(plan=first, reason=" ", **house.by("brewing"))
    off = call_off_plan(plan=first, reason="no bottles", **house.by("brewing"))
    assert (off.state, off.called_off_because, kept("P1")) == ("called_off", "no bottles", {})
    with pytest.raises(PlanNotOpen):
        start_plan(plan=first, started_at=now(), **house.by("brewing"))


def test_a_started_plan_is_a_brew_by_its_sheet_that_draws_what_is_kept(house: Brewhouse):
    first = plan(house, cold_wort_micro=micro("500 L"))
    reserve_for_plan(plan=first, **house.by("brewing"))
    brew = start_plan(plan=first, started_at=now(), **house.by("brewing")).brew
    assert brew
    assert (brew.code, brew.cold_wort_micro, brew.sheet) == ("P1", micro("500 L"), first.sheet)
    malt = pick_list_of(brew, now())[0]
    assert [(pick.lot.code, pick.quantity_micro) for pick in malt.picks] == [
        ("M2", micro("50 kg")),
        ("M1", micro("50 kg")),
    ]
    assert open_plans() == []


def test_a_repeated_start_starts_once(house: Brewhouse):
    asked = {"plan": plan(house), "started_at": now(), **house.by("brewing")}
    assert start_plan(**asked).brew == start_plan(**asked).brew


# Needs and shortages


def test_needs_are_told_by_plan_and_material(house: Brewhouse):
    plan(house)
    plan(house, "P2", 8, cold_wort_micro=micro("500 L"))
    assert {(need.plan.code, need.material.code): need.quantity_micro for need in needs_of(open_plans())} == {
        ("P1", "PILS"): micro("200 kg"),
        ("P1", "SAAZ"): micro("2.5 kg"),
        ("P2", "PILS"): micro("100 kg"),
        ("P2", "SAAZ"): micro("1.25 kg"),
    }


def test_a_shortage_is_told_by_the_day_on_which_it_comes(house: Brewhouse):
    plan(house)
    plan(house, "P2", 8)
    (short,) = shortages(open_plans())
    assert (short.material.code, short.day, short.missing_micro) == ("PILS", in_days(8), micro("100 kg"))
    assert (short.wanted_micro, short.available_micro, short.plans) == (micro("400 kg"), micro("300 kg"), ("P2",))


def test_what_is_kept_for_the_plans_themselves_is_theirs(house: Brewhouse):
    reserve_for_plan(plan=plan(house), **house.by("brewing"))
    assert shortages(open_plans()) == []
    reserve(lot=house.lot("M1"), quantity_micro=micro("100 kg"), purpose="open day", **house.by("brewing"))
    assert shortages(open_plans()) == []
    plan(house, "P2", 8, cold_wort_micro=micro("100 L"))
    (short,) = shortages(open_plans())
    assert (short.day, short.missing_micro) == (in_days(8), micro("20 kg"))


def test_a_lot_that_expires_before_the_day_does_not_count(house: Brewhouse):
    plan(house, days=21, cold_wort_micro=micro("1300 L"))
    (short,) = shortages(open_plans())
    assert (short.available_micro, short.missing_micro) == (micro("250 kg"), micro("10 kg"))


def test_an_order_due_before_the_day_counts_and_one_due_after_does_not(house: Brewhouse):
    plan(house, cold_wort_micro=micro("2000 L"))
    for number, days in (("PO-1", 7), ("PO-2", 8)):
        enter_order(
            number=number,
            supplier=house.party("MALTINGS"),
            ordered_on=in_days(-1),
            lines=[OrderedLine(house.material("PILS"), micro("60 kg"), in_days(days))],
            **house.by("receiving"),
        )
    (short,) = shortages(open_plans())
    assert (short.expected_micro, short.missing_micro) == (micro("60 kg"), micro("40 kg"))


def test_what_can_be_brewed_with_what_is_here(house: Brewhouse):
    (one,) = brewable()
    assert one.is_enough
    reserve(lot=house.lot("M1"), quantity_micro=micro("150 kg"), purpose="open day", **house.by("brewing"))
    (one,) = brewable()
    assert [(line.wanted.material.code, line.missing_micro) for line in one.missing] == [("PILS", micro("50 kg"))]


@pytest.mark.parametrize("days", [-1, 733])
def test_nobody_plans_for_a_day_that_is_over_or_years_away(house: Brewhouse, days: int):
    with pytest.raises(InvalidInput, match="Give a day from"):
        plan(house, days=days)
    first = plan(house)
    with pytest.raises(InvalidInput, match="Give a day from"):
        change_plan(plan=first, revision=1, changes={"brew_on": in_days(days)}, **house.by("brewing"))


def test_a_plan_whose_day_is_over_may_still_be_put_on_another(house: Brewhouse):
    late = plan(house)
    BrewPlan.objects.update(brew_on=in_days(-3))
    shorter = {"cold_wort_micro": micro("500 L")}
    change_plan(plan=late, revision=1, changes=shorter, **house.by("brewing"))
    change_plan(plan=late, revision=2, changes={"brew_on": in_days(0)}, **house.by("brewing"))
    assert [one.brew_on for one in open_plans()] == [in_days(0)]
