"""Units of quantity: exact factors, and whole micro-units as the form in which quantities are kept.

A micro-unit is a millionth of a base unit: a milligram (kg), a microlitre (L) or a millionth of an each. Every
conversion is made with exact rationals and rounded once, half-even, so that sums are exact on every database.
"""

import enum
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

MICRO = 1_000_000
INT64_MAX = 2**63 - 1
INT64_MIN = -(2**63)

# Wide enough for any quantity that fits 64 bits, and small enough that no text can make the arithmetic slow.
_MAX_DIGITS = 60
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


class BaseUnit(enum.StrEnum):
    """What a material is counted in: mass, volume or number."""

    KG = "kg"
    L = "L"
    EACH = "each"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that people write, and how many base units one of it is, exactly."""

    symbol: str
    name: str
    base: BaseUnit
    factor: Fraction
    uncefact_code: str | None


class UnitError(ValueError):
    """A quantity that cannot be taken as written; `code` is for machines, the text names the value and a way out."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


_US_GALLON_L = Fraction("3.785411784")  # 231 cubic inches of 2.54 cm; NIST Handbook 44, Appendix C
_IMPERIAL_GALLON_L = Fraction("4.54609")  # Weights and Measures Act 1985 (UK), Schedule 1
_POUND_KG = Fraction("0.45359237")  # Weights and Measures Act 1985 (UK), Schedule 1

# The last column is the code of UN/CEFACT Recommendation 20; HLT, GLL and GLI are given from memory. Neither beer
# barrel has one: BLL is the petroleum barrel of 42 gallons.
_TABLE = (
    Unit("kg", "kilogram", BaseUnit.KG, Fraction(1), "KGM"),
    Unit("g", "gram", BaseUnit.KG, Fraction(1, 1000), "GRM"),
    Unit("lb", "pound", BaseUnit.KG, _POUND_KG, "LBR"),
    Unit("oz", "ounce", BaseUnit.KG, _POUND_KG / 16, "ONZ"),
    Unit("t", "tonne", BaseUnit.KG, Fraction(1000), "TNE"),
    Unit("L", "litre", BaseUnit.L, Fraction(1), "LTR"),
    Unit("mL", "millilitre", BaseUnit.L, Fraction(1, 1000), "MLT"),
    Unit("hL", "hectolitre", BaseUnit.L, Fraction(100), "HLT"),
    Unit("US gal", "US gallon", BaseUnit.L, _US_GALLON_L, "GLL"),
    Unit("US bbl", "US beer barrel", BaseUnit.L, 31 * _US_GALLON_L, None),
    Unit("imp gal", "imperial gallon", BaseUnit.L, _IMPERIAL_GALLON_L, "GLI"),
    Unit("imp bbl", "imperial beer barrel", BaseUnit.L, 36 * _IMPERIAL_GALLON_L, None),
    Unit("each", "each", BaseUnit.EACH, Fraction(1), "C62"),
)
UNITS: Mapping[str, Unit] = MappingProxyType({unit.symbol: unit for unit in _TABLE})


def unit_of(symbol: str) -> Unit:
    """The unit of that symbol. Raises UnitError `unknown_unit`."""
    try:
        return UNITS[symbol]
    except KeyError:
        known = ", ".join(UNITS)
        raise UnitError("unknown_unit", f"{symbol!r} is not a unit known here; write one of {known}.") from None


def to_micro(amount: str | int | Decimal, unit: str, base: BaseUnit | None = None) -> int:
    """The amount in whole micro-units of the unit's base unit, rounded half-even.

    With `base`, the unit must measure that. Raises UnitError: `unknown_unit`, `other_dimension`, `not_a_number`,
    `out_of_range` (beyond a signed 64-bit integer).
    """
    known = unit_of(unit)
    if base is not None and known.base is not base:
        fitting = ", ".join(each.symbol for each in _TABLE if each.base is base)
        raise UnitError("other_dimension", f"{amount} {unit} is not a quantity in {base}; write it in {fitting}.")
    micro = _micro(_exact(amount), known)
    if not INT64_MIN <= micro <= INT64_MAX:
        raise UnitError(
            "out_of_range", f"{amount} {unit} is more than the record can hold; split it or check the unit."
        )
    return micro


def from_micro(micro: int, unit: str) -> Fraction:
    """The exact number of `unit` that `micro` micro-units of its base unit are. Raises UnitError `unknown_unit`."""
    return Fraction(micro, MICRO) / unit_of(unit).factor


def format_micro(micro: int, unit: str, places: int | None = None) -> str:
    """The quantity as a plain decimal in `unit`, with exactly `places` decimals, rounded half-even.

    Without `places`: the shortest decimal that `to_micro` reads back to the same micro-units, which is the exact value
    wherever the exact value has an end. Raises UnitError `unknown_unit`.
    """
    known, exact = unit_of(unit), from_micro(micro, unit)
    if places is not None:
        return _plain(exact, places)
    places = 0
    while _micro(Fraction(text := _plain(exact, places)), known) != micro:
        places += 1
    return text


def split_micro(total: int, weights: Sequence[int]) -> list[int]:
    """Whole parts of `total`, in proportion to the weights, that sum to it exactly (largest remainder, first on a tie).

    Each part is within one micro-unit of its exact share. Raises UnitError `no_split`.
    """
    whole = sum(weights)
    if total < 0 or whole <= 0 or min(weights) < 0:
        raise UnitError(
            "no_split", f"{total} cannot be split by {list(weights)}; give weights of 0 or more, not all 0."
        )
    parts = [total * weight // whole for weight in weights]
    largest_first = sorted(range(len(parts)), key=lambda at: -(total * weights[at] % whole))
    for at in largest_first[: total - sum(parts)]:
        parts[at] += 1
    return parts


def _micro(amount: Fraction, unit: Unit) -> int:
    """The one rounding: half-even, to a whole micro-unit of the base."""
    return round(amount * unit.factor * MICRO)


def _exact(amount: str | int | Decimal) -> Fraction:
    """The amount as a rational. Raises UnitError `not_a_number`, `out_of_range`."""
    if isinstance(amount, str):
        if len(amount) > _MAX_DIGITS or not _NUMBER.fullmatch(amount):
            raise _not_a_number(amount)
        amount = Decimal(amount)
    if isinstance(amount, Decimal):
        return Fraction(_bounded(amount))
    if type(amount) is not int:
        raise _not_a_number(amount)
    return Fraction(amount)


def _bounded(amount: Decimal) -> Decimal:
    """The amount, if it is finite and neither its digits nor its exponent are beyond any quantity of this world."""
    digits, exponent = amount.as_tuple()[1:]
    if not isinstance(exponent, int):
        raise _not_a_number(amount)
    if len(digits) > _MAX_DIGITS or abs(exponent) > _MAX_DIGITS:
        raise UnitError("out_of_range", f"{amount} is too large or too finely written; write at most 60 digits.")
    return amount


def _not_a_number(amount: object) -> UnitError:
    return UnitError("not_a_number", f"{amount!r} is not a quantity; write a plain decimal such as 12.5, as text.")


def _plain(exact: Fraction, places: int) -> str:
    """The rational rounded half-even to `places` decimals, without an exponent."""
    scaled = round(exact * 10**places)
    sign, digits = "-" if scaled < 0 else "", str(abs(scaled)).rjust(places + 1, "0")
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"
