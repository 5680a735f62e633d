"""Rounding: the exact figure becomes a decimal here and nowhere else, in the way that its law names."""

from decimal import ROUND_CEILING, ROUND_DOWN, ROUND_HALF_UP, Context, Decimal
from fractions import Fraction

_WIDE = Context(prec=60)


def half_up(exact: Fraction | Decimal, places: int) -> Decimal:
    """Return the figure to so many decimals, the half away from zero."""
    return _rounded(Fraction(exact), places, ROUND_HALF_UP)


def up(exact: Fraction | Decimal, places: int) -> Decimal:
    """Return the figure to so many decimals, never below it."""
    return _rounded(Fraction(exact), places, ROUND_CEILING)


def cut(exact: Fraction | Decimal, places: int) -> Decimal:
    """Return the figure to so many decimals, the rest cut off."""
    return _rounded(Fraction(exact), places, ROUND_DOWN)


def _rounded(exact: Fraction, places: int, how: str) -> Decimal:
    """Two integers and one division: no digit is lost on the way, however long the fraction."""
    scaled = exact * 10**places
    whole, rest = divmod(abs(scaled.numerator), scaled.denominator)
    is_up = (how == ROUND_HALF_UP and 2 * rest >= scaled.denominator) or (
        how == ROUND_CEILING and rest > 0 and exact > 0
    )
    digits = whole + is_up
    return Decimal(digits if exact >= 0 else -digits).scaleb(-places, _WIDE)
