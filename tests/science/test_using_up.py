"""Using lots up at least loss: against trying everything, and against first expired, first out."""

import itertools
import math
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewery.science.using_up import Plan, Store, Want, first_expired, least_loss


def met(plan: Plan, want: Want) -> float:
    return math.fsum(take.kg * want.strengths[take.store] for take in plan.takes if take.want == want.key)


def out(plan: Plan, store: str) -> float:
    return math.fsum(take.out_kg for take in plan.takes if take.store == store)


def test_the_weaker_lot_is_used_where_the_stronger_keeps_more():
    """By hand: 0.4 kg alpha are 4 kg of B, which would hold 5 % at the end, or 5 kg of A, which would hold 7 %."""
    stores = [Store("A", 10, 0.07), Store("B", 10, 0.05)]
    found = least_loss(stores, [Want("brew", 0.4, {"A": 0.08, "B": 0.1})])
    assert [(take.store, pytest.approx(take.kg)) for take in found.best.takes] == [("B", 4)]
    assert found.first_expired.lost == pytest.approx(5 * 0.07)
    assert found.saved == pytest.approx(0.35 - 0.2)
    assert found.is_proven


def test_what_is_past_its_date_at_the_end_costs_nothing():
    stores = [Store("new", 10, 0.08), Store("old", 3, 0.0)]
    found = least_loss(stores, [Want("brew", 0.4, {"new": 0.1, "old": 0.05})])
    assert {take.store: pytest.approx(take.kg, abs=1e-3) for take in found.best.takes} == {"old": 3, "new": 2.5}


def test_a_store_that_is_good_for_the_first_brew_alone_goes_there():
    """First expired, first out gives the first brew the lot that the second could have had alone."""
    stores = [Store("A", 4, 0.05), Store("B", 4, 0.05)]
    wants = [Want("first", 4, {"A": 1, "B": 1}), Want("second", 4, {"A": 1})]
    found = least_loss(stores, wants)
    assert found.first_expired.short == {"second": 4}
    assert {(take.want, take.store) for take in found.best.takes} == {("first", "B"), ("second", "A")}


def test_of_plans_that_lose_the_same_the_one_with_fewest_lots_is_taken():
    stores = [Store("A", 2, 0.05), Store("B", 2, 0.05), Store("C", 10, 0.05)]
    found = least_loss(stores, [Want("brew", 3.0, {"A": 1, "B": 1, "C": 1})])
    assert [take.store for take in found.best.takes] == ["C"]


def test_whole_packages_leave_the_stock_whole():
    stores = [Store("A", 10, 0.06, 5), Store("B", 20, 0.06, 2)]
    found = least_loss(stores, [Want("brew", 0.38, {"A": 0.1, "B": 0.1})], whole=True)
    (take,) = found.best.takes
    assert (take.store, take.kg, take.out_kg) == ("B", pytest.approx(3.8), pytest.approx(4))
    assert found.first_expired.lost == pytest.approx(5 * 0.06)


def test_what_cannot_be_met_is_named_and_the_rest_is_met():
    found = least_loss([Store("A", 3, 0.05)], [Want("first", 2, {"A": 1}), Want("second", 2, {"A": 1})])
    assert sum(found.best.short.values()) == pytest.approx(1, abs=1e-4)
    assert out(found.best, "A") == pytest.approx(3, abs=1e-4)
    assert least_loss([], [Want("brew", 1, {})]).best.short == {"brew": 1}


def test_nothing_wanted_takes_nothing():
    assert least_loss([Store("A", 3, 0.05)], []).best.takes == []


def tenths(low: int, high: int) -> st.SearchStrategy[float]:
    return st.integers(low, high).map(lambda number: number / 10)


@st.composite
def cases(draw: st.DrawFn, whole: bool = False) -> tuple[list[Store], list[Want]]:
    """Up to three stores and three wants, with packages of 1 to 3 kg where those are whole."""
    count = draw(st.integers(1, 3))
    stores = []
    for number in range(count):
        package = draw(st.integers(1, 3)) if whole else None
        kg = package * draw(st.integers(1, 3)) if package else draw(tenths(1, 60))
        stores.append(Store(f"S{number}", float(kg), draw(tenths(0, 10)), package and float(package)))
    wants = []
    for number in range(draw(st.integers(1, 2 if whole else 3))):
        good = [store.key for store in stores if draw(st.booleans())]
        wants.append(Want(f"W{number}", draw(tenths(1, 40)), {key: draw(tenths(3, 12)) for key in good}))
    return stores, wants


@settings(max_examples=60, deadline=None)
@given(cases() | cases(whole=True), st.booleans())
def test_it_holds_to_the_rules_and_never_loses_more_than_first_expired(
    case: tuple[list[Store], list[Want]], whole: bool
):
    stores, wants = case
    found = least_loss(stores, wants, whole=whole)
    for store in stores:
        assert out(found.best, store.key) <= store.kg * (1 + 1e-6)
    for want in wants:
        assert met(found.best, want) + found.best.short.get(want.key, 0) == pytest.approx(want.amount, abs=1e-4)
    if not found.first_expired.is_short:
        assert not found.best.is_short
        assert found.best.lost <= found.first_expired.lost + 1e-4


def tried(stores: Sequence[Store], wants: Sequence[Want]) -> float | None:
    """The least that any number of packages for each want loses, or None where no number is enough."""
    ways = [(store, want) for want in wants for store in stores if store.key in want.strengths]
    most = [round(store.kg / (store.package_kg or 1)) for store, _ in ways]
    best = None
    for counts in itertools.product(*(range(count + 1) for count in most)):
        kg = [count * (store.package_kg or 1) for count, (store, _) in zip(counts, ways, strict=True)]
        fits = all(
            sum(part for part, (one, _) in zip(kg, ways, strict=True) if one is store) <= store.kg + 1e-9
            for store in stores
        )
        covers = all(
            sum(part * want.strengths[store.key] for part, (store, one) in zip(kg, ways, strict=True) if one is want)
            >= want.amount - 1e-9
            for want in wants
        )
        if fits and covers:
            lost = sum(part * store.left for part, (store, _) in zip(kg, ways, strict=True))
            best = lost if best is None else min(best, lost)
    return best


@settings(max_examples=40, deadline=None)
@given(cases(whole=True))
def test_small_cases_come_to_the_same_as_trying_everything(case: tuple[list[Store], list[Want]]):
    stores, wants = case
    found, least = least_loss(stores, wants, whole=True), tried(stores, wants)
    assert (least is None) == found.best.is_short
    if least is not None:
        assert found.best.lost == pytest.approx(least, abs=1e-4)


@settings(max_examples=30, deadline=None)
@given(cases(), st.randoms(use_true_random=False))
def test_another_order_of_what_is_wanted_loses_the_same(case: tuple[list[Store], list[Want]], random):
    stores, wants = case
    shuffled = [list(stores), list(wants)]
    for some in shuffled:
        random.shuffle(some)
    before, after = least_loss(stores, wants), least_loss(*shuffled)
    if not before.best.is_short:
        assert after.best.lost == pytest.approx(before.best.lost, abs=1e-4)


def test_the_plain_way_takes_what_expires_first():
    plan = first_expired([Store("A", 1, 0.1), Store("B", 9, 0.1)], [Want("brew", 3, {"A": 1, "B": 1})])
    assert [(take.store, take.kg) for take in plan.takes] == [("A", 1), ("B", 2)]
