"""Fermentation in short: beer T1 in FV1, and gravities and temperatures that are read of it."""

from collections.abc import Mapping, Sequence
from typing import Any

from brewery.production.models import TankReading
from brewery.production.services.tank_readings import Measured, correct_reading, read_tanks
from tests.brewhouse import Brewhouse, at, micro
from tests.production.brewday import brew_by, reading, sheet_of, write


def fermenting(house: Brewhouse, **sheet: Any) -> None:
    """Pitch T1, 1000 L of brew B1 by the sheet of 12 and 2.5 °P, in FV1 at hour 10."""
    house.stock_up()
    brew = brew_by(house, sheet_of(house, **sheet), cold_wort_micro=micro("1000 L"))
    house.draw(brew, ("M1", "SILO1", "200 kg"), hours=3)
    write(house, brew, reading("knock_out", "gravity", "12"), hours=8)
    house.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=9)
    house.pitch("FV1", "T1", ("Y1", "COLD", "5 kg"), hours=10)


def measured(house: Brewhouse, property: str, value: str, hours: float, vessel: str = "FV1") -> Measured:
    """Return a reading that is to be taken down."""
    return Measured(house.place(vessel), property, micro(f"{value} each"), at(hours))


def read(house: Brewhouse, *readings: Measured, role: str = "brewing") -> TankReading:
    """Take the readings down."""
    return read_tanks(readings=list(readings), **house.by(role))


def gravities(house: Brewhouse, by_hours: Mapping[float, str], vessel: str = "FV1") -> None:
    """Take down gravities by the hour."""
    read(house, *(measured(house, "gravity", plato, hours, vessel) for hours, plato in by_hours.items()))


def put_right(
    house: Brewhouse, wrong: TankReading, value: str, *, hours: float, reason: str = "misread"
) -> TankReading:
    """Correct a reading."""
    return correct_reading(
        reading=wrong, value_micro=micro(f"{value} each"), happened_at=at(hours), reason=reason, **house.by("brewing")
    )


FALLING: Mapping[float, str] = {10: "12", 34: "10.8", 58: "7.9", 82: "5.1", 106: "3.4", 130: "2.8"}
ENDED: Mapping[float, str] = {**FALLING, 154: "2.5", 178: "2.5", 202: "2.5"}
STUCK: Mapping[float, str] = {10: "12", 34: "10.8", 58: "7.9", 82: "6.2", 106: "6.2", 130: "6.2"}


def values(rows: Sequence[TankReading]) -> list[int]:
    """Return what was read, in millionths."""
    return [row.value_micro for row in rows]
