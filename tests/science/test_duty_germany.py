"""German beer duty: whole degrees Plato, amounts cut to the cent, and less for small breweries."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.duty.germany import (
    ANCHORS_HL,
    RATES,
    SMALL_HL,
    Germany,
    plato_by_balling,
    plato_class,
    share_pct,
)
from brewery.science.duty.movements import Kind, Measured, Movement, Place
from brewery.science.duty.rates import RateBook
from brewery.science.duty.schemes import Account, worksheet
from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO

DAY = date(2026, 3, 4)
BOOK = RateBook(RATES)
FULL = {"made_hl": SMALL_HL, "independent": False}
SMALL = {"made_hl": Decimal(5_000), "independent": True}
SCHEME = Germany()


def moved(plato: str | None, hl: str = "1", kind: Kind = Kind.REMOVED, alcohol: str = "5") -> Movement:
    extract = None if plato is None else Measured(Decimal(plato), DAY, "by hand")
    volume = int(Decimal(hl) * 100 * MICRO)
    strength = Measured(Decimal(alcohol), DAY, "by hand")
    return Movement(DAY, "Lager", kind, Place.CELLAR, volume, alcohol=strength, extract=extract)


def owed(*movements: Movement, facts=FULL) -> Decimal:
    return SCHEME.duty(movements, BOOK, Decimal(0), facts).amount


# zoll.de, examples of one hectolitre; customs cut: 11 × 0.787 is 8.657.
@pytest.mark.parametrize(
    ("plato", "duty"), [("6", "4.72"), ("11", "8.65"), ("12", "9.44"), ("13", "10.23"), ("16", "12.59")]
)
def test_the_examples_of_the_customs(plato: str, duty: str):
    assert owed(moved(plato)) == Decimal(duty)


def test_decimals_of_a_degree_are_left_out():
    """BierStG § 2 (1): 12.9 is 12."""
    assert plato_class(Fraction("12.9")) == 12
    assert owed(moved("12.9")) == owed(moved("12.0")) == Decimal("9.44")


def test_the_original_extract_by_balling():
    """The large Balling formula, from memory: 3.9 % alcohol by mass and 4.2 % real extract are 11.7698 °P."""
    extract = plato_by_balling(Decimal("3.9"), Decimal("4.2"))
    assert float(extract) == pytest.approx(11.7698, abs=5e-5)
    assert plato_class(extract) == 11


def test_a_small_brewery_pays_half():
    """5,000 hL at 12 °P: 0.3935 × 12 is 4.722, cut to 4.72; the share is confirmed by secondary sources alone."""
    assert owed(moved("12"), facts=SMALL) == Decimal("4.72")
    assert owed(moved("12"), facts={**SMALL, "independent": False}) == Decimal("9.44")


def test_the_anchors_of_the_reduced_rate():
    """BierStG § 2: 50, 60, 70 and 75 % at 5,000, 10,000, 20,000 and 40,000 hL; confirm them for after 2022."""
    assert [share_pct(anchor, BOOK, DAY) for anchor in ANCHORS_HL] == [50, 60, 70, 75]
    assert (share_pct(Decimal(1), BOOK, DAY), share_pct(SMALL_HL, BOOK, DAY)) == (50, 100)


@given(st.integers(1, 250_000), st.integers(1, 250_000))
def test_who_makes_more_never_pays_less(first: int, second: int):
    low, high = sorted((first, second))
    assert 50 <= share_pct(Decimal(low), BOOK, DAY) <= share_pct(Decimal(high), BOOK, DAY) <= 100


def test_what_comes_back_is_taken_off_and_what_is_free_costs_nothing():
    assert owed(moved("12", "100"), moved("12", "10", Kind.RETURNED)) == Decimal("849.60")
    assert owed(moved("12", alcohol="0.5"), moved("12", kind=Kind.EXPORTED), moved("12", kind=Kind.DESTROYED)) == 0
    assert owed(moved("12", kind=Kind.GIVEN_FREE)) == 0


def test_beer_without_a_measured_extract_is_refused():
    with pytest.raises(OutOfRange, match="enter a measured extract first"):
        owed(moved(None))


def test_the_worksheet_tells_each_class_and_closes():
    movements = [
        moved("12", "500", Kind.PRODUCED),
        moved("12", "100"),
        moved("11.5", "50"),
        moved("12", "3", Kind.LOST),
    ]
    account = Account(date(2026, 3, 1), date(2026, 3, 31), movements, {Place.CELLAR: Decimal(20)}, facts=FULL)
    found = worksheet(SCHEME, account, BOOK)
    assert [(line.label, line.cells["quantity"], line.cells["amount"]) for line in found.lines[:2]] == [
        ("Tax class 11 °P", Decimal("50.0000"), Decimal("432.50")),
        ("Tax class 12 °P", Decimal("100.0000"), Decimal("944.00")),
    ]
    assert found.duty.amount == Decimal("1376.50")
    assert found.closing == {Place.CELLAR: Decimal("367.0000")}
    assert all(check.agrees for check in found.checks)
    assert "not a filing" in found.caution
    assert SCHEME.due_on(date(2026, 3, 31)) == date(2026, 4, 7)
