"""Readings of tanks as they stand, with what replaced what."""

from django.db.models import QuerySet

from brewery.production.models import TankReading
from brewery.science.properties import plain, with_unit
from brewery.science.tank_readings import READINGS
from brewery.science.units import MICRO


def tank_readings() -> QuerySet[TankReading]:
    """Return all readings of tanks, each with its tank, lot and person, what it replaced and what replaced it."""
    return TankReading.objects.select_related("vessel", "lot__material", "actor", "replaces", "replaced_by")


def is_replaced(reading: TankReading) -> bool:
    """Return whether a later reading took its place."""
    return hasattr(reading, "replaced_by")


def figure_of(reading: TankReading) -> float:
    """Return what a reading says, in the unit of its property."""
    return reading.value_micro / MICRO


def in_words(reading: TankReading) -> str:
    """Return what a reading says, with its property and unit."""
    measured = READINGS[reading.property]
    return f"{measured.label} {with_unit(plain(reading.value_micro), measured)}"
