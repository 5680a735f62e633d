"""Fills: a run fills several lots from several tanks, gauges tell the loss, and nothing hangs in process at its end."""

import random
from datetime import date
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewery.kernel.errors import InvalidInput
from brewery.production.models import FilledTank, PackagingFill, PackagingRun, RunFinish
from brewery.production.services.filled_tanks import TankDraw
from brewery.production.services.packaging import Counted, fill
from brewery.production.services.packaging_rules import set_packaging_rule
from brewery.production.services.refusals import (
    AlreadyPackaged,
    GaugeAboveTheBook,
    LessLeftTheTanks,
    MoreThanLiesInTheRun,
    MoreThanTheTankHolds,
    NoCodeLeft,
    NothingFilled,
)
from brewery.production.services.run_ends import finish_run, undo_fill
from brewery.production.services.work import finished_by
from brewery.science.filling import share_of_drawn, shared_out
from brewery.science.units import format_micro
from inventory.models import Event, Location, LogisticUnit, Lot
from inventory.services.refusals import OutputInUse, ReasonMissing
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings, refused
from tests.standing import built_once
from traceability.queries.mass_balance import mass_balance


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of T1 lie in FV1, 1000 L of T2 in FV2."""
    brewhouse.stock_up()
    brewhouse.ferment()
    brewhouse.ferment(number=2, vessel="FV2", hours=30)
    return brewhouse


@built_once
def run(house: Brewhouse) -> PackagingRun:
    """1000 crowns of K1 lie in run R1."""
    run = house.start_run("R1", hours=100)
    house.draw(run, ("K1", "STORE", "1000 each"), hours=100)
    return run


def tank(house: Brewhouse, code: str, start: str = "", end: str = "", left: str = "") -> TankDraw:
    return TankDraw(house.place(code), *(micro(one) if one else None for one in (start, end, left)))


def filling(house: Brewhouse, run: PackagingRun, *tanks: TankDraw, hours: float = 102, **facts: Any) -> Event:
    counted = {
        name: facts.pop(name) for name in ("rejects", "code", "best_before", "line", "began_at") if name in facts
    }
    return fill(
        run=run,
        material=house.material(facts.pop("material", "BOTTLE500")),
        tanks=tanks or [tank(house, "FV1")],
        counted=Counted(facts.pop("count", 100), **counted),
        location=house.place(facts.pop("location", "COLD")),
        happened_at=at(hours),
        **facts,
        **house.by("brewing"),
    )


def finish(house: Brewhouse, run: PackagingRun, *returns: tuple[str, str, str], hours: float = 110, why: str = ""):
    return finish_run(
        run=run, returns=house.parts(returns), happened_at=at(hours), loss_reason=why, **house.by("brewing")
    )


def undo(house: Brewhouse, run: PackagingRun) -> Event:
    return undo_fill(run=run, reason="counted wrong", **house.by("brewing"))


def test_a_run_fills_several_lots_each_with_its_share_of_the_crowns(house: Brewhouse, run: PackagingRun):
    first = filling(house, run, code="A", count=300, still_to_come=700)
    second = filling(house, run, code="B", count=400, still_to_come=0, hours=103)
    assert ("K1", "A", "ingredient", "300 each") in links(first)
    assert ("K1", "B", "ingredient", "700 each") in links(second)
    assert house.held("T1", "FV1") == micro("650 L")
    assert house.held("K1", "R1") == 0


def test_rejects_are_lost_beer_and_used_crowns(house: Brewhouse, run: PackagingRun):
    event = filling(house, run, code="A", count=90, rejects=10, still_to_come=900, loss_micro=micro("2 L"))
    assert postings(event) == {
        ("T1", "FV1", "transformed", "45 L"),
        ("T1", "FV1", "loss", "7 L"),
        ("K1", "R1", "transformed", "100 each"),
        ("A", "transformed", "COLD", "90 each"),
    }
    assert PackagingFill.objects.get(event=event).loss_micro == micro("7 L")


def test_gauges_tell_what_left_the_tank_and_what_is_not_in_the_packages_is_lost(house: Brewhouse, run: PackagingRun):
    event = filling(house, run, tank(house, "FV1", "1010 L", "950 L"), code="A", count=100, rejects=2)
    assert ("T1", "FV1", "loss", "10 L") in postings(event)
    assert house.held("T1", "FV1") == micro("940 L")
    row = FilledTank.objects.get()
    assert (row.left_micro, row.gauge_start_micro, row.gauge_end_micro) == tuple(
        micro(one) for one in ("60 L", "1010 L", "950 L")
    )


def test_one_lot_is_filled_from_two_tanks_by_what_left_each(house: Brewhouse, run: PackagingRun):
    tanks = tank(house, "FV1", "1000 L", "980 L"), tank(house, "FV2", left="40 L")
    event = filling(house, run, *tanks, code="A", count=90)
    assert {link for link in links(event) if link[0] != "K1"} == {
        ("T1", "A", "ingredient", "15 L"),
        ("T2", "A", "ingredient", "30 L"),
    }
    assert ("T2", "FV2", "loss", "10 L") in postings(event)


def test_the_tank_that_nobody_gauged_gave_the_rest(house: Brewhouse, run: PackagingRun):
    filling(house, run, tank(house, "FV1", "1000 L", "980 L"), tank(house, "FV2"), code="A", loss_micro=micro("5 L"))
    assert [row.left_micro for row in FilledTank.objects.all()] == [micro("20 L"), micro("35 L")]


def test_gauges_that_do_not_fit_the_counts_are_refused(house: Brewhouse, run: PackagingRun):
    sentence = "By the gauges 40 L left the tanks; packages, rejects and losses make 51 L."
    with refused(LessLeftTheTanks, sentence, field="tanks"):
        filling(house, run, tank(house, "FV1", "1000 L", "960 L"), code="A", count=100, rejects=2)


@pytest.mark.parametrize(
    ("tanks", "problem"),
    [
        ([("FV1", "100 L", "100 L")], "Nothing left the tank by these gauges"),
        ([("FV1", "100 L", "")], "Gauge it at the start and at the end."),
        ([("FV1", "100 L", "20 L", "80 L")], "Its gauges tell what left it."),
        ([("FV1",), ("FV2",)], "Gauge all tanks but one"),
        ([("FV1",), ("FV1", "", "", "10 L")], "Name each tank once."),
    ],
)
def test_tanks_that_cannot_be_so_are_refused(house: Brewhouse, run: PackagingRun, tanks: list[Any], problem: str):
    with pytest.raises(InvalidInput, match=problem):
        filling(house, run, *(tank(house, *one) for one in tanks), code="A")


def test_a_loss_beside_gauges_is_refused(house: Brewhouse, run: PackagingRun):
    with refused(InvalidInput, "loss: '1' is not valid. The gauges tell the loss: leave it out.", field="loss"):
        filling(house, run, tank(house, "FV1", "1000 L", "940 L"), code="A", loss_micro=micro("1 L"))


def test_a_fill_of_more_than_the_tank_holds_is_refused(house: Brewhouse, run: PackagingRun):
    sentence = "Fermenter 1 holds 1000 L of lot T1; 1050 L was asked for, losses included."
    with refused(MoreThanTheTankHolds, sentence, field="quantity"):
        filling(house, run, code="A", count=2100)


def test_what_was_used_and_what_was_broken_is_said(house: Brewhouse, run: PackagingRun):
    used, wasted = house.parts([("K1", "R1", "104 each")]), house.parts([("K1", "R1", "6 each")])
    event = filling(house, run, code="A", used=used, wasted=wasted)
    assert {row for row in postings(event) if row[0] == "K1"} == {
        ("K1", "R1", "transformed", "104 each"),
        ("K1", "R1", "loss", "6 each"),
    }


@pytest.mark.parametrize(
    ("used", "wasted", "held"), [("1001 each", "", "1000 each"), ("10 each", "991 each", "9 each")]
)
def test_more_crowns_than_lie_in_the_run_are_refused(
    house: Brewhouse, run: PackagingRun, used: str, wasted: str, held: str
):
    sentence = f"Packaging run R1 holds {held} of lot K1; {used} was said to be used or wasted."
    broken = house.parts([("K1", "R1", wasted)]) if wasted else []
    with refused(MoreThanLiesInTheRun, sentence, field="used"):
        filling(house, run, code="A", used=house.parts([("K1", "R1", used)]), wasted=broken)


def test_a_fill_goes_straight_onto_a_new_pallet(house: Brewhouse, run: PackagingRun):
    event = filling(house, run, code="A", on_new_pallet=True)
    unit = LogisticUnit.objects.get()
    assert ("A", "transformed", unit.sscc, "100 each") in postings(event)
    assert unit.stands_in == house.place("COLD")


def test_a_finished_run_gives_back_what_is_left_and_fills_no_more(house: Brewhouse, run: PackagingRun):
    filling(house, run, code="A", still_to_come=900)
    event = finish(house, run, ("K1", "STORE", "890 each"), why="fell on the floor")
    assert postings(event) == {("K1", "R1", "STORE", "890 each"), ("K1", "R1", "loss", "10 each")}
    assert finished_by(run) == event
    with pytest.raises(AlreadyPackaged):
        filling(house, run, code="B", hours=111)


def test_what_a_run_loses_at_its_end_needs_a_reason(house: Brewhouse, run: PackagingRun):
    with refused(ReasonMissing, "What a run loses needs a reason.", field="loss_reason"):
        finish(house, run, ("K1", "STORE", "999 each"))


def test_the_last_fill_is_undone_and_a_finished_run_is_under_way_again(house: Brewhouse, run: PackagingRun):
    filling(house, run, code="A", still_to_come=900)
    filling(house, run, code="B", still_to_come=800, hours=103)
    finish(house, run, ("K1", "STORE", "800 each"))
    undo(house, run)
    assert (finished_by(run), house.held("K1", "R1")) == (None, micro("900 each"))
    assert house.held("T1", "FV1") == micro("950 L")
    undo(house, run)
    with refused(NothingFilled, "Packaging run R1 has filled nothing: there is no fill to undo.", field="run"):
        undo(house, run)


def test_a_fill_whose_lot_went_on_is_not_undone(house: Brewhouse, run: PackagingRun):
    filling(house, run, code="A")
    house.ship("INN", ("A", "COLD", "1 each"), hours=104)
    with pytest.raises(OutputInUse):
        undo(house, run)


def test_a_run_whose_fill_was_reversed_behind_its_end_is_under_way_again(house: Brewhouse, run: PackagingRun):
    """However the reversal came about, nothing lies in a run that says that it is finished."""
    event = filling(house, run, code="A", still_to_come=900)
    finish(house, run, ("K1", "STORE", "900 each"))
    house.reverse(event)
    assert finished_by(run) is None
    assert RunFinish.objects.count() == 1


def rule(house: Brewhouse, pattern: str = "{year}{day}-{line}{number}", **facts: Any) -> None:
    facts = {"in_force_from": date(2026, 1, 1), **facts}
    set_packaging_rule(pattern=pattern, **facts, **house.by("administration"))


def test_lots_are_coded_and_dated_by_the_rule(house: Brewhouse, run: PackagingRun):
    rule(house, life=6, life_in="months", to_months_end=True, has_l_prefix=True)
    filling(house, run, line="2", still_to_come=800)
    filling(house, run, line="2", still_to_come=0, hours=103)
    made = Lot.objects.filter(material__code="BOTTLE500")
    assert [lot.code for lot in made] == ["L26065-21", "L26065-22"]
    assert {lot.best_before for lot in made} == {date(2026, 9, 30)}


def test_the_newest_rule_of_the_material_itself_counts(house: Brewhouse, run: PackagingRun):
    rule(house, "ALL{number}")
    rule(house, "OLD{number}", material=house.material("BOTTLE500"))
    rule(house, "OWN{number2}", material=house.material("BOTTLE500"), in_force_from=date(2026, 3, 6))
    rule(house, "LATER{number}", material=house.material("BOTTLE500"), in_force_from=date(2026, 3, 7))
    filling(house, run)
    assert Lot.objects.filter(code="OWN01").exists()


def test_without_a_rule_a_lot_is_coded_as_every_lot(house: Brewhouse, run: PackagingRun):
    filling(house, run)
    assert Lot.objects.filter(code="PB260306-01").exists()


def test_a_code_that_grows_too_long_is_refused(house: Brewhouse, run: PackagingRun):
    rule(house, "FERMENTER-{tank}{tank}{tank}")
    Location.objects.filter(code="FV1").update(code="FERMENTER-1")
    sentence = (
        "The rule for Quillmere Lager, 0.5 L bottle gives no code of 20 characters at most: "
        "FERMENTER-FERMENTER-1FERMENTER-1FERMENTER-1 is next."
    )
    with refused(NoCodeLeft, sentence, field="packaged_code"):
        filling(house, run, tank(house, "FERMENTER-1"))


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"pattern": "{moon}"}, "pattern"),
        ({"pattern": "A B"}, "pattern"),
        ({"pattern": ""}, "pattern"),
        ({"pattern": "{full_year}{full_year}{full_year}{full_year}{full_year}", "has_l_prefix": True}, "pattern"),
        ({"life": 0}, "life"),
        ({"life": 121, "life_in": "months"}, "life"),
        ({"life": 1, "life_in": "weeks"}, "life_in"),
        ({"to_months_end": True}, "to_months_end"),
    ],
)
def test_rules_that_cannot_be_are_refused(house: Brewhouse, facts: dict[str, Any], field: str):
    with pytest.raises(InvalidInput) as caught:
        rule(house, **facts)
    assert caught.value.field == field


@settings(deadline=None)
@given(seed=st.integers(0, 10**9))
def test_shares_lie_within_one_of_exact_fractions_and_add_up(seed: int):
    rng = random.Random(seed)
    weights = [rng.randrange(1, 10**12) for _ in range(rng.randrange(1, 6))]
    whole = rng.randrange(0, sum(weights) + 1)
    parts = shared_out(whole, weights)
    assert sum(parts) == whole
    for part, weight in zip(parts, weights, strict=True):
        assert 0 <= part <= weight
        assert abs(part - Fraction(whole * weight, sum(weights))) < 1
    lying, counts = rng.randrange(1, 10**12), [rng.randrange(1, 10**4) for _ in range(rng.randrange(1, 6))]
    used = []
    for place, count in enumerate(counts):
        used.append(share_of_drawn(lying - sum(used), count, sum(counts[place + 1 :]), is_counted=False))
        exact = Fraction(lying * count, sum(counts))
        assert abs(used[-1] - exact) < len(counts)
    assert sum(used) == lying


@pytest.mark.parametrize("seed", range(4))
def test_after_random_runs_every_lot_is_accounted_for(house: Brewhouse, seed: int):
    """Two tanks, several codes, gauges up and down, rejects, broken crowns, fills undone: every balance closes."""
    rng, book = random.Random(seed), {"FV1": micro("1000 L"), "FV2": micro("1000 L")}
    packed = {("T1", "FV1"): Fraction(0), ("T2", "FV2"): Fraction(0)}
    for number in (1, 2):
        run = house.start_run(f"R{number}", hours=100 + 10 * number)
        house.draw(run, ("K1", "STORE", "900 each"), hours=100 + 10 * number)
        for place in range(rng.randrange(1, 4)):
            hours = 101 + 10 * number + place
            vessel = rng.choice(("FV1", "FV2"))
            change = rng.randrange(-3_000_000, 3_000_000)
            book[vessel] += change
            house.count(f"T{vessel[-1]}", vessel, f"{format_micro(book[vessel], 'L')} L", hours=hours)
            left = {one: rng.randrange(40, 60) * 1_000_000 + rng.randrange(10**6) for one in book}
            tanks = [
                TankDraw(house.place(one), gauge_start_micro=book[one], gauge_end_micro=book[one] - left[one])
                for one in left
            ]
            event = filling(
                house,
                run,
                *tanks,
                hours=hours + 0.5,
                code=f"P{number}{place}",
                count=150,
                rejects=rng.randrange(0, 5),
                wasted=house.parts([("K1", run.code, f"{rng.randrange(1, 9)} each")]),
                still_to_come=rng.randrange(1, 800),
            )
            if rng.random() < 0.3:
                undo(house, run)
                continue
            for one in book:
                book[one] -= left[one]
                lot = f"T{one[-1]}"
                exact = Fraction(micro("75 L") * left[one], sum(left.values()))
                (link,) = event.links.filter(parent__code=lot)
                assert abs(link.quantity_micro - exact) <= 1
                packed[lot, one] += link.quantity_micro
        finish(house, run, hours=109 + 10 * number, why="left on the line")
        assert house.held("K1", run.code) == 0
    for (lot, vessel), _ in packed.items():
        assert house.held(lot, vessel) == book[vessel]
    for lot in Lot.objects.filter(reversed_by=None):
        assert mass_balance(lot).closes, lot.code


def test_a_gauge_above_the_book_is_refused_until_somebody_says_why(house: Brewhouse, run: PackagingRun):
    tanks = [tank(house, "FV1", "1020 L", "10 L")]
    sentence = "The gauge of Fermenter 1 says 1020 L at the start; the book says 1000 L of lot T1."
    with refused(GaugeAboveTheBook, sentence, field="gauge_reason"):
        filling(house, run, *tanks, code="A", count=2000)
    event = filling(house, run, *tanks, code="A", count=2000, gauge_reason="sight glass read twice")
    count = Event.objects.get(kind=Event.Kind.COUNT)
    assert postings(count) == {("T1", "count_difference", "FV1", "20 L")}
    assert ("T1", "FV1", "loss", "10 L") in postings(event)
    assert house.held("T1", "FV1") == micro("10 L")
    assert mass_balance(house.lot("T1")).closes
