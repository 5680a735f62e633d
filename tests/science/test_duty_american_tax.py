"""The tax of the United States: bands of the year, cut where a brewer's allotment ends."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.duty.american_tax import RATES, bands, parts
from brewery.science.duty.rates import RateBook
from brewery.science.ranges import OutOfRange

DAY = date(2026, 3, 4)
BOOK = RateBook(RATES)
SMALL = bands(Decimal(50_000))
hundredths = st.integers(0, 8 * 10**8).map(lambda hundredth: Decimal(hundredth) / 100)


def tax(quantity: Decimal, so_far: Decimal = Decimal(0), brewer=SMALL) -> Fraction:
    return sum((part.amount for part in parts(quantity, so_far, brewer, BOOK, DAY)), Fraction(0))


# 26 USC 5051 as told by us.vlex.com 671018073: $3.50, $16 and $18; the products are calculated.
@pytest.mark.parametrize(
    ("made", "so_far", "removed", "owed"),
    [
        ("5000", "0", "5000", "17500.00"),
        ("75000", "0", "75000", "450000.00"),
        ("2000000", "0", "2000000", "31250000.00"),
        ("2000001", "0", "2000001", "32000016.00"),
        ("6500000", "0", "6500000", "105000000.00"),
        ("70000", "59800", "500", "5500.00"),
        ("50000", "0", "52.51", "183.785"),
        ("50000", "0", "776.75", "2718.625"),
    ],
)
def test_the_worked_taxes_of_producers_of_every_size(made, so_far, removed, owed):
    assert tax(Decimal(removed), Decimal(so_far), bands(Decimal(made))) == Decimal(owed)


def test_a_group_shares_its_bands():
    brewer = bands(Decimal(90_000), Decimal(20_000), Decimal(3_000_000))
    assert tax(Decimal(30_000), Decimal(0), brewer) == 20_000 * Fraction("3.50") + 10_000 * 16
    assert tax(Decimal(2), Decimal(2_999_999), brewer) == 16 + 18


def test_each_part_names_its_band():
    found = parts(Decimal(500), Decimal(59_800), SMALL, BOOK, DAY)
    assert [(part.quantity, part.rate) for part in found] == [(200, Decimal("3.50")), (300, Decimal("16.00"))]
    assert [part.why for part in found] == [
        "first band of a brewer of not more than 2,000,000 bbl a year",
        "up to the end of the second band",
    ]


@given(hundredths, hundredths, hundredths)
def test_what_straddles_a_band_is_the_sum_of_its_parts(so_far, first, second):
    assert tax(first + second, so_far) == tax(first, so_far) + tax(second, so_far + first)


@given(hundredths, hundredths)
def test_what_is_taken_back_takes_its_own_tax_back(so_far, quantity):
    assert tax(-quantity, so_far + quantity) == -tax(quantity, so_far)


@given(hundredths, hundredths, hundredths)
def test_more_volume_is_never_less_tax(so_far, quantity, more):
    assert tax(quantity + more, so_far) >= tax(quantity, so_far) >= 0


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: bands(Decimal(1), Decimal(60_001)), "first_bbl: 60001 is not valid. The group's first band is 60000"),
        (lambda: bands(Decimal(1), Decimal(10), Decimal(9)), "second_bbl: 9 is not valid. It lies between"),
        (lambda: tax(Decimal(-2), Decimal(1)), "so_far: 1 is not valid. With -2 bbl the year's removals would fall"),
        (lambda: parts(Decimal(1), Decimal(0), SMALL, BOOK, date(2017, 12, 31)), "No rate is in force; .* 2018-01-01"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
