"""Proposals: the first to expire first, out of what is free, open packages before whole ones."""

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.models import Location, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.proposals import Proposal, propose, propose_from
from inventory.queries.stock import LotStock, PlaceStock
from tests.brewhouse import START, Brewhouse, micro
from tests.inventory.stockroom import TODAY, keep

HOP = Material(code="SAAZ", name="Saaz", kind="hop", base_unit="kg")
STORE = Location(pk=1, code="STORE", name="Dry store", kind="store")
COLD = Location(pk=2, code="COLD", name="Cold store", kind="store")
TANK = Location(pk=3, code="FV1", name="Fermenter 1", kind="fermenter")


def stocked(number: int, days: int | None, places: list[PlaceStock], **facts: object) -> LotStock:
    reserved = facts.pop("reserved_micro", 0)
    best_before = None if days is None else TODAY + timedelta(days=days)
    facts = {"disposition": "released", "package_micro": None, **facts}
    lot = Lot(pk=number, code=f"H{number}", material=HOP, made_at=START, best_before=best_before, **facts)
    return LotStock(lot, TODAY, tuple(places), int(str(reserved)))


def lines(proposal: Proposal) -> list[tuple[str, str, int, int, bool]]:
    return [
        (line.lot.code, line.location.code, line.quantity_micro, line.whole_packages, line.opens_one)
        for line in proposal.lines
    ]


def of(stocks: list[LotStock], quantity: int, *, whole: bool = False, use_on: date = TODAY) -> Proposal:
    return propose_from(HOP, quantity, stocks, use_on=use_on, whole_packages=whole)


def test_the_first_to_expire_is_taken_first_and_the_rest_from_the_next():
    stocks = [stocked(1, 5, [PlaceStock(STORE, 10)]), stocked(2, 9, [PlaceStock(COLD, 10)])]
    assert lines(of(stocks, 14)) == [("H1", "STORE", 10, 0, False), ("H2", "COLD", 4, 0, False)]


def test_an_open_package_comes_before_whole_ones_and_one_more_is_opened_for_the_rest():
    stock = stocked(1, 5, [PlaceStock(STORE, 30), PlaceStock(COLD, 13)], package_micro=10)
    assert lines(of([stock], 28)) == [
        ("H1", "COLD", 3, 0, False),
        ("H1", "STORE", 25, 2, True),
    ]


def test_whole_packages_are_rounded_up():
    stock = stocked(1, 5, [PlaceStock(STORE, 30), PlaceStock(COLD, 13)], package_micro=10)
    proposal = of([stock], 28, whole=True)
    assert lines(proposal) == [("H1", "COLD", 3, 0, False), ("H1", "STORE", 30, 3, False)]
    assert (proposal.proposed_micro, proposal.missing_micro) == (33, 0)


def test_a_package_of_which_a_part_is_kept_is_not_taken_whole():
    stock = stocked(1, 5, [PlaceStock(STORE, 30)], package_micro=10, reserved_micro=5)
    proposal = of([stock], 30, whole=True)
    assert (lines(proposal), proposal.missing_micro) == ([("H1", "STORE", 20, 2, False)], 10)


def test_what_is_missing_and_why_is_told():
    stocks = [
        stocked(1, -1, [PlaceStock(STORE, 10)]),
        stocked(2, 5, [PlaceStock(STORE, 10)], disposition="on_hold"),
        stocked(3, 6, [PlaceStock(STORE, 10)], reserved_micro=4),
    ]
    proposal = of(stocks, 20)
    assert (lines(proposal), proposal.missing_micro) == ([("H3", "STORE", 6, 0, False)], 14)
    assert [(one.lot.code, one.quantity_micro, one.reason) for one in proposal.left_out] == [
        ("H1", 10, "best before 2026-03-01"),
        ("H2", 10, "on hold"),
        ("H3", 4, "kept for something else"),
    ]


def test_a_lot_is_used_up_to_its_best_before_day():
    stock = stocked(1, 5, [PlaceStock(STORE, 10)])
    assert of([stock], 5, use_on=TODAY + timedelta(days=5)).missing_micro == 0
    assert of([stock], 5, use_on=TODAY + timedelta(days=6)).missing_micro == 5


def test_what_lies_in_a_tank_is_not_proposed():
    assert of([stocked(1, 5, [PlaceStock(TANK, 10), PlaceStock(STORE, 1)])], 5).proposed_micro == 1


def test_the_lots_on_record_are_proposed_in_the_order_of_expiry(brewhouse: Brewhouse, django_assert_num_queries):
    days = {"H1": 30, "H2": None, "H3": 10, "H4": 20}
    for lot, left in days.items():
        best_before = left and TODAY + timedelta(days=left)
        brewhouse.deliver("SAAZ", lot, "10 kg", best_before=best_before, package_micro=micro("5 kg"), note=lot)
    brewhouse.decide("H4", "on_hold", hours=1)
    keep(brewhouse, "H3", "4 kg", "B1")
    brewhouse.deliver("CASCADE", "C1", "10 kg", note="C1")
    saaz = brewhouse.material("SAAZ")
    with django_assert_num_queries(3):
        proposal = propose(saaz, micro("18 kg"), today=TODAY, use_on=TODAY)
    assert lines(proposal) == [
        ("H3", "STORE", micro("6 kg"), 1, True),
        ("H1", "STORE", micro("10 kg"), 2, False),
        ("H2", "STORE", micro("2 kg"), 0, True),
    ]


@dataclass(frozen=True)
class Made:
    """A made-up stock in the order of expiry, as the record gives it."""

    stocks: list[LotStock]


@st.composite
def stocks(draw: st.DrawFn) -> Made:
    rows = draw(
        st.lists(
            st.tuples(
                st.one_of(st.none(), st.integers(-5, 30)),
                st.integers(0, 50),
                st.integers(0, 50),
                st.sampled_from(Disposition.values),
                st.one_of(st.none(), st.integers(1, 20)),
                st.integers(0, 60),
            ),
            max_size=6,
        )
    )
    made = [
        stocked(
            number,
            days,
            [PlaceStock(place, there) for place, there in ((STORE, store), (COLD, cold)) if there],
            disposition=disposition,
            package_micro=package,
            reserved_micro=reserved,
        )
        for number, (days, store, cold, disposition, package, reserved) in enumerate(rows)
    ]
    return Made(sorted(made, key=lambda one: (one.lot.best_before is None, one.lot.best_before or TODAY, one.lot.pk)))


@given(made=stocks(), asked=st.integers(1, 250), whole=st.booleans(), use_in=st.integers(0, 10))
def test_a_proposal_keeps_its_promises(made: Made, asked: int, whole: bool, use_in: int):
    use_on = TODAY + timedelta(days=use_in)
    proposal = of(made.stocks, asked, whole=whole, use_on=use_on)
    by_lot = {stock.lot.pk: stock for stock in made.stocks}
    taken = {pk: sum(line.quantity_micro for line in proposal.lines if line.lot.pk == pk) for pk in by_lot}
    order = [line.lot.pk for line in proposal.lines]
    assert list(dict.fromkeys(order)) == [stock.lot.pk for stock in made.stocks if taken[stock.lot.pk]]
    for line in proposal.lines:
        lot, there = line.lot, by_lot[line.lot.pk]
        assert lot.disposition == Disposition.RELEASED
        assert lot.best_before is None or lot.best_before >= use_on
        assert line.quantity_micro > 0
        for place in there.places:
            at_place = sum(x.quantity_micro for x in proposal.lines if (x.lot, x.location) == (lot, place.location))
            assert at_place <= place.quantity_micro
    for pk, stock in by_lot.items():
        assert taken[pk] <= stock.free_micro
    if whole:
        assert not any(line.opens_one for line in proposal.lines)
        assert all(is_whole(stock, taken[pk]) for pk, stock in by_lot.items())
    else:
        usable = [one for one in made.stocks if one.lot.best_before is None or one.lot.best_before >= use_on]
        assert proposal.proposed_micro == min(asked, sum(stock.free_micro for stock in usable))
        assert all(sum(line.opens_one for line in proposal.lines if line.lot.pk == pk) <= 1 for pk in by_lot)


def is_whole(stock: LotStock, taken_micro: int) -> bool:
    """Return whether so much is open packages as they are, and whole ones."""
    package = stock.lot.package_micro
    if not package:
        return True
    open_ones = [place.quantity_micro % package for place in stock.places]
    sums = {sum(some) for count in range(len(open_ones) + 1) for some in combinations(open_ones, count)}
    return any(taken_micro >= part and (taken_micro - part) % package == 0 for part in sums)


@pytest.mark.parametrize("whole", [True, False])
def test_nothing_is_proposed_of_nothing(whole: bool):
    assert (of([], 5, whole=whole).lines, of([], 5, whole=whole).missing_micro) == ([], 5)
