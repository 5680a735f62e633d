"""Rounding of duty: against the decimal module, which rounds by a road of its own."""

from decimal import ROUND_CEILING, ROUND_DOWN, ROUND_HALF_UP, Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from brewery.science.duty.rounding import cut, half_up, up

figures = st.decimals(-(10**9), 10**9, places=7)


@given(figures, st.integers(0, 5))
def test_each_rounding_is_that_of_the_decimal_module(figure, places):
    step = Decimal(1).scaleb(-places)
    for ours, theirs in ((half_up, ROUND_HALF_UP), (up, ROUND_CEILING), (cut, ROUND_DOWN)):
        assert ours(figure, places) == figure.quantize(step, theirs)
        assert ours(figure, places).as_tuple().exponent == -places


def test_a_fraction_that_no_decimal_can_hold_is_rounded_where_it_stands():
    third, hair_above_half = Fraction(1, 3), Fraction(1, 2) + Fraction(1, 10**50)
    assert (half_up(third, 5), up(third, 2), cut(third, 2)) == (Decimal("0.33333"), Decimal("0.34"), Decimal("0.33"))
    assert half_up(hair_above_half, 0) == 1
