"""The European Union's least duty on beer, exact to the cent."""

from decimal import Decimal

import pytest

from brewery.science.duty import (
    EU_LEAST_PER_HL_ALCOHOL_PCT,
    EU_LEAST_PER_HL_PLATO,
    duty_by_plato,
    duty_by_strength,
)
from brewery.science.ranges import OutOfRange

HUNDRED_HL = Decimal(100)


# 0.748 and 1.87 EUR: ec.europa.eu, excise duty on alcohol; the products are calculated.
@pytest.mark.parametrize(
    ("extract", "ignores_fractions", "duty"),
    [("12", False, "897.60"), ("11.9", True, "822.80"), ("11.9", False, "890.12"), ("12", True, "897.60")],
)
def test_the_least_duty_by_plato(extract, ignores_fractions, duty):
    # Fractions of a degree may be ignored: Directive 92/83/EEC.
    found = duty_by_plato(HUNDRED_HL, Decimal(extract), EU_LEAST_PER_HL_PLATO, ignores_fractions=ignores_fractions)
    assert found == Decimal(duty)


def test_a_hectolitre_of_ordinary_beer():
    """12 °P and 5 % vol: products of the two least rates."""
    assert duty_by_plato(Decimal(1), Decimal(12), EU_LEAST_PER_HL_PLATO, ignores_fractions=True) == Decimal("8.976")
    assert duty_by_strength(Decimal(1), Decimal(5), EU_LEAST_PER_HL_ALCOHOL_PCT) == Decimal("9.35")


def test_the_least_duty_by_strength():
    assert duty_by_strength(HUNDRED_HL, Decimal("5.1"), EU_LEAST_PER_HL_ALCOHOL_PCT) == Decimal("953.70")


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (
            lambda: duty_by_strength(Decimal(-1), Decimal(5), Decimal(1)),
            "volume_hl: -1 is not valid. It must be 0 or more",
        ),
        (lambda: duty_by_strength(Decimal(1), Decimal("NaN"), Decimal(1)), "alcohol_by_volume_pct: NaN is not valid"),
        (
            lambda: duty_by_plato(Decimal(1), Decimal("-0.5"), Decimal(1), ignores_fractions=False),
            "extract_plato: -0.5 is not valid",
        ),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
