"""Readings: what can be read at all, on a brew day or in a tank."""

from collections.abc import Mapping

from brewery.kernel.errors import InvalidInput
from brewery.science.properties import Property, plain, plausible, with_unit


def property_read(readings: Mapping[str, Property], key: str) -> Property:
    """Return the property of that key. Raises InvalidInput where it is none of those that are read."""
    if key not in readings:
        raise InvalidInput(field="property", value=key, problem=f"Write one of: {', '.join(readings)}.")
    return readings[key]


def refuse_implausible(measured: Property, value_micro: int) -> None:
    """Raise InvalidInput for a figure, in millionths of the property's unit, that cannot be."""
    if not measured.least_micro <= value_micro <= measured.most_micro:
        raise InvalidInput(
            field="value",
            value=with_unit(plain(value_micro), measured),
            problem=f"{measured.label} must be {plausible(measured)}. Read it again.",
        )
