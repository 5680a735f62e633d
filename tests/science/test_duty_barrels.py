"""Barrels: every equivalent that the regulation prints, the worked day, and kegs that hold more than they say."""

from collections import Counter
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.duty.barrels import (
    BARREL_MICRO_L,
    barrels,
    claimable_transit_loss,
    day_sums,
    movement_barrels,
    total_barrels,
)
from brewery.science.duty.movements import Container, ContainerKind, Kind, Measured, Movement, Place
from brewery.science.ranges import OutOfRange
from brewery.science.units import to_micro, unit_of

DAY = date(2026, 3, 4)
FLUID_OUNCE_MICRO_L = unit_of("US gal").factor * 1_000_000 / 128
HALF_BARREL_MICRO_L, SIXTH_MICRO_L = to_micro("15.5", "US gal"), round(BARREL_MICRO_L / 6)
CASE_MICRO_L = round(12 * 24 * FLUID_OUNCE_MICRO_L)

# 27 CFR 25.158(a), all 42: fluid ounces, bottles in the case, barrels (law.cornell.edu/cfr/text/27/25.158).
US_CASES = """
6 12 0.01815, 6 24 0.03629, 7 12 0.02117, 7 24 0.04234, 7 32 0.05645, 7 35 0.06174, 7 36 0.06351, 7 40 0.07056,
7 48 0.08468, 8 12 0.02419, 8 24 0.04839, 8 36 0.07258, 8 48 0.09677, 10 12 0.03024, 10 24 0.06048, 10 48 0.12097,
11 12 0.03327, 11 24 0.06653, 11.5 24 0.06956, 12 12 0.03629, 12 15 0.04536, 12 20 0.06048, 12 24 0.07258,
12 30 0.09073, 12 48 0.14516, 12 50 0.15121, 14 12 0.04234, 14 24 0.08468, 16 12 0.04839, 16 24 0.09677,
22 12 0.06653, 22 24 0.13306, 24 12 0.07258, 24 24 0.14516, 30 12 0.09073, 32 12 0.09677, 40 12 0.12097,
64 1 0.01613, 64 4 0.06452, 64 6 0.09677, 128 1 0.03226, 288 1 0.07258
"""
# 27 CFR 25.158(b), all five: litres, bottles, barrels.
METRIC_CASES = "0.5 24 0.10226, 0.75 12 0.07670, 1 12 0.10226, 2 6 0.10226, 5 1 0.04261"
# 27 CFR 25.156(a): the fractions of a barrel, and 5 gallons, 30 and 50 litres as printed there.
KEGS = {
    Fraction(1): "1.00000",
    Fraction(1, 2): "0.50000",
    Fraction(1, 3): "0.33333",
    Fraction(1, 4): "0.25000",
    Fraction(1, 6): "0.16667",
    Fraction(1, 8): "0.12500",
}


def table(text: str) -> list[tuple[str, ...]]:
    return [tuple(row.split()) for row in text.replace("\n", " ").split(",")]


def kegs(count: int, capacity_micro_l: int, held_micro_l: int | None = None, kind: Kind = Kind.REMOVED) -> Movement:
    container = Container(ContainerKind.KEG, capacity_micro_l, dispense=True)
    held = count * capacity_micro_l if held_micro_l is None else held_micro_l
    return Movement(DAY, "Pale", kind, Place.RACKING_KEG, held, container, count)


def cases(count: int, capacity_micro_l: int = CASE_MICRO_L) -> Movement:
    container = Container(ContainerKind.CASE, capacity_micro_l)
    return Movement(DAY, "Pale", Kind.REMOVED, Place.BOTTLING_CASE, count * capacity_micro_l, container, count)


def test_the_regulation_prints_42_american_and_five_metric_cases():
    assert (len(table(US_CASES)), len(table(METRIC_CASES))) == (42, 5)


@pytest.mark.parametrize(("ounces", "bottles", "printed"), table(US_CASES))
def test_an_american_case_is_what_the_regulation_prints(ounces, bottles, printed):
    exact = Fraction(ounces) * int(bottles) * FLUID_OUNCE_MICRO_L
    assert barrels(exact) == barrels(round(exact)) == Decimal(printed)


@pytest.mark.parametrize(("litres", "bottles", "printed"), table(METRIC_CASES))
def test_a_metric_case_is_what_the_regulation_prints(litres, bottles, printed):
    assert barrels(to_micro(litres, "L") * int(bottles)) == Decimal(printed)


def test_kegs_are_what_the_regulation_prints():
    assert {part: str(barrels(round(part * BARREL_MICRO_L))) for part in KEGS} == KEGS
    printed = {"5 US gal": "0.16129", "30 L": "0.25565", "50 L": "0.42608"}
    assert {size: str(barrels(to_micro(*size.split(" ", 1)))) for size in printed} == printed


def test_the_barrel_is_the_beer_barrel_of_an_independent_table():
    litres = pint.UnitRegistry(non_int_type=Decimal).Quantity(Decimal(1), "beer_barrel").to("liter").magnitude
    assert abs(Fraction(litres) * 1_000_000 - BARREL_MICRO_L) < Fraction(1, 10**15)
    assert Fraction("117.347765304") * 1_000_000 == BARREL_MICRO_L  # 31 x 231 cubic inches of 2.54 cm


def test_the_worked_day():
    # 20 + 25 x 0.16667 + 12 x 0.42608 = 29.27971; 320 x 0.07258 = 23.22560: worked from 25.156(c) and 25.157.
    day = [kegs(40, HALF_BARREL_MICRO_L), kegs(25, SIXTH_MICRO_L), kegs(12, to_micro("50", "L")), cases(320)]
    assert sum(movement_barrels(movement) for movement in day[:3]) == Decimal("29.27971")
    assert day_sums(day) == {
        (DAY, Place.RACKING_KEG): Decimal("29.28"),
        (DAY, Place.BOTTLING_CASE): Decimal("23.23"),
    }


def test_a_keg_is_taxed_on_what_it_holds_only_when_more_than_two_per_cent_too_full():
    capacity = to_micro("50", "L")
    just, over = kegs(10, capacity, 10 * 51_000_000), kegs(10, capacity, 10 * 51_000_000 + 10)
    assert movement_barrels(just) == Decimal("4.26080")
    assert movement_barrels(over) == 10 * barrels(51_000_001) == Decimal("4.34610")
    taken_back = kegs(-10, capacity, -10 * 51_000_000 - 10)
    assert movement_barrels(taken_back) == -movement_barrels(over)


def test_returned_beer_counts_by_what_is_in_it():
    # 25.211: the actual quantity, short kegs weighed.
    short = kegs(2, to_micro("50", "L"), to_micro("60", "L"), Kind.RETURNED)
    assert movement_barrels(short) == barrels(to_micro("60", "L")) == Decimal("0.51130")


@given(st.lists(st.tuples(st.integers(1, 400), st.sampled_from([HALF_BARREL_MICRO_L, SIXTH_MICRO_L])), max_size=8))
def test_however_a_day_is_split_into_lines_its_sum_is_the_same(lines):
    one_by_one = [kegs(1, capacity) for count, capacity in lines for _ in range(min(count, 20))]
    whole: Counter[int] = Counter()
    for count, capacity in lines:
        whole[capacity] += min(count, 20)
    assert total_barrels(one_by_one) == total_barrels([kegs(count, capacity) for capacity, count in whole.items()])


@given(st.integers(0, 10**12), st.integers(0, 10**12))
def test_more_volume_is_never_fewer_barrels(volume, more):
    assert barrels(volume) <= barrels(volume + more)


@pytest.mark.parametrize(("lost", "claimed"), [("0", "0"), ("2.00", "0"), ("2.01", "2.01")])
def test_a_loss_on_the_way_of_more_than_two_per_cent_is_claimed_whole(lost, claimed):
    # 25.184, of 100 barrels shipped.
    assert claimable_transit_loss(Decimal(100), Decimal(lost)) == Decimal(claimed)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: Container(ContainerKind.KEG, 0), "capacity_micro_l: 0 is not valid. Give the rated capacity"),
        (lambda: Measured(Decimal("NaN"), DAY, "distilled"), "value: NaN is not valid. It must be 0 to 100"),
        (lambda: Movement(DAY, "Pale", Kind.LOST, Place.CELLAR, 1, count=2), "Give a container and how many of it"),
        (lambda: kegs(-1, 50, 50), "both a negative count and a negative volume"),
        (lambda: Movement(DAY, "Pale", Kind.BOTTLED, Place.CELLAR, 1), "What is bottled leaves from bottling_bulk"),
        (lambda: cases(1).measured("alcohol"), "Pale of 2026-03-04 has none: enter a measured alcohol first"),
    ],
)
def test_a_movement_that_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
