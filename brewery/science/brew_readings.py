"""Readings of a brew day: what each can be at all, and how far from the sheet it may lie before it is marked.

The ranges are as wide as a brewery can be, so that only a slip of the pen falls outside.
"""

from dataclasses import dataclass

from brewery.science.bitterness import PRECISE_FROM, precision
from brewery.science.properties import named, number

_PRACTICE = "common practice, no source"

READINGS = named(
    number("temperature", "Temperature", "°C", -5, 110, _PRACTICE),
    number("volume", "Volume", "L", 0, 1_000_000, _PRACTICE),
    number("gravity", "Gravity", "°P", -3, 40, _PRACTICE),
    number("ph", "pH", "", 3, 9, f"mash 5.2 to 5.6, beer 3.9 to 4.7: {_PRACTICE}"),
    number("bitterness", "Bitterness", "BU", 0, 200, _PRACTICE),
    number("colour", "Colour", "EBC", 0, 500, _PRACTICE),
    number("oxygen", "Dissolved oxygen", "mg/L", 0, 50, _PRACTICE),
)

TEMPERATURE_ROOM_C = 1.0
GRAVITY_ROOM_PLATO = 0.3
VOLUME_ROOM_PCT = 2.0
COLOUR_ROOM_PCT = 10.0
BITTERNESS_ROOM_BU = 2.0
"""How far a reading may lie from what the sheet says (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Target:
    """What a reading was to be, and the room on either side, in the unit of the reading."""

    value: float
    room: float

    def is_missed_by(self, value: float) -> bool:
        """Return whether a reading lies further away than there is room."""
        return abs(value - self.value) > self.room + 1e-9


def temperature_target(temperature_c: float) -> Target:
    """Return the target of a temperature in °C."""
    return Target(temperature_c, TEMPERATURE_ROOM_C)


def gravity_target(extract_plato: float) -> Target:
    """Return the target of a gravity in °P."""
    return Target(extract_plato, GRAVITY_ROOM_PLATO)


def volume_target(volume_l: float) -> Target:
    """Return the target of a volume in litres."""
    return Target(volume_l, volume_l * VOLUME_ROOM_PCT / 100)


def colour_target(colour_ebc: float) -> Target:
    """Return the target of a colour in EBC."""
    return Target(colour_ebc, colour_ebc * COLOUR_ROOM_PCT / 100)


def bitterness_target(bitterness_bu: float) -> Target:
    """Return the target of a bitterness in BU: as far off as two laboratories may be of each other."""
    is_precise = bitterness_bu in PRECISE_FROM
    return Target(bitterness_bu, precision(bitterness_bu).between if is_precise else BITTERNESS_ROOM_BU)
