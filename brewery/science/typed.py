"""Quantities as people type them: a number, and a unit where it is not the usual one."""

import re

from brewery.science.units import UNITS, BaseUnit, UnitError, to_micro

_TYPED = re.compile(r"\s*(?P<number>[0-9][0-9 ]*(?:[.,][0-9]+)?)\s*(?P<unit>[A-Za-z][A-Za-z ]*)?\s*")
_BY_LOWER = {symbol.lower(): symbol for symbol in UNITS}
_THOUSANDS = 3


def typed_micro(text: str, base: str) -> int:
    """Return what was typed in micro-units of `base`, whose unit may be left out.

    A comma is a decimal comma; "1,250" could be either and is refused. Raises UnitError.
    """
    found = _TYPED.fullmatch(text)
    if not found:
        raise UnitError("not_a_number", f"{text!r} is not a quantity; write a number such as 12.5, or 12.5 {base}.")
    number = with_point(found["number"].replace(" ", ""))
    unit = (found["unit"] or base).strip()
    return to_micro(number, _BY_LOWER.get(unit.lower(), unit), BaseUnit(base))


def with_point(number: str) -> str:
    """Return a number that was typed, with a decimal point where it had a comma. Raises UnitError `ambiguous`."""
    _, comma, places = number.partition(",")
    if comma and len(places) == _THOUSANDS:
        plain = number.replace(",", "")
        raise UnitError("ambiguous", f"{number} may be {number.replace(',', '.')} or {plain}; write it with a point.")
    return number.replace(",", ".")
