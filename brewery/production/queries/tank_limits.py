"""Limits of tank readings: the temperature of the sheet's cellar steps; of the rest, what the brewery asks of the beer
once it is no longer green, or what is usual."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from brewery.kernel.clock import brewery_day
from brewery.production.models import TankReading
from brewery.production.queries import tank_readings
from brewery.production.queries.fermentations import brews_of, stretches_of
from brewery.production.queries.fills import fills_of
from brewery.production.queries.tank_readings import figure_of, is_replaced
from brewery.science.limits import Verdict, fault_in_words, in_words, judge
from brewery.science.properties import Reading, with_unit
from brewery.science.tank_readings import READINGS, USUAL, USUAL_WHEN_ENDED, Stretch, aim_after
from inventory.models import Location, Specification
from inventory.queries.specifications import in_force_of, specifications_of

_HOUR = 3600
_HOURS_PER_DAY = 24


@dataclass(frozen=True)
class Plan:
    """What was planned for a lot: its cellar steps, counted from pitching; either may be unknown."""

    pitched_at: datetime | None
    stretches: tuple[Stretch, ...]
    green_days: float

    def age_hours(self, moment: datetime) -> float | None:
        """Return how long after pitching a moment is, or None where nothing was pitched."""
        return (moment - self.pitched_at).total_seconds() / _HOUR if self.pitched_at else None

    def is_green(self, moment: datetime, vessel: Location) -> bool:
        """Return whether the beer is still fermenting or at its diacetyl rest by plan; in a bright tank it never is."""
        age = self.age_hours(moment)
        if vessel.kind == Location.Kind.BRIGHT_TANK:
            return False
        return age is None or not self.stretches or age < self.green_days * _HOURS_PER_DAY


@dataclass(frozen=True)
class ShownReading:
    """One reading, and why it is outside of its limits in a sentence, or nothing where it is not."""

    reading: TankReading
    outside: str

    @property
    def is_replaced(self) -> bool:
        """Whether a later reading took its place."""
        return is_replaced(self.reading)

    @property
    def says(self) -> str:
        """What it says, with its property and unit."""
        return tank_readings.in_words(self.reading)


def shown_readings(readings: Sequence[TankReading]) -> list[ShownReading]:
    """Return the readings in their order, each judged by its limits; the same statements however many."""
    plans = _plans_of({reading.lot_id for reading in readings})
    asked = _asked_of(readings)
    return [ShownReading(one, _outside(one, plans[one.lot_id], asked.get(_asked_by(one), {}))) for one in readings]


def _asked_by(reading: TankReading) -> tuple[int, date]:
    return reading.lot.material_id, brewery_day(reading.happened_at)


def _asked_of(readings: Sequence[TankReading]) -> dict[tuple[int, date], dict[str, Specification]]:
    """Return by beer and day what was asked of it then."""
    pairs = {_asked_by(reading) for reading in readings}
    history = specifications_of({material for material, _ in pairs})
    return {(material, day): in_force_of(history[material], day) for material, day in pairs}


def _plans_of(lots: Collection[int]) -> dict[int, Plan]:
    fills = fills_of(lots)
    brews = brews_of({fill.root for fill in fills.values()})
    found = {}
    for lot, fill in fills.items():
        brew = brews.get(fill.root)
        stretches = tuple(stretches_of(brew.sheet)) if brew and brew.sheet else ()
        green = sum(stretch.days for stretch in stretches if stretch.is_green)
        found[lot] = Plan(fill.pitched_at, stretches, green)
    return found


def _outside(reading: TankReading, plan: Plan, asked: Mapping[str, Specification]) -> str:
    figure = figure_of(reading)
    if reading.property == TankReading.Property.TEMPERATURE:
        return _off_the_sheet(reading, figure, plan)
    is_green = plan.is_green(reading.happened_at, reading.vessel)
    if reading.property in asked and not is_green:
        return _off_what_is_asked(reading, asked[reading.property])
    band = USUAL.get(reading.property)
    if band is None and not is_green:
        band = USUAL_WHEN_ENDED.get(reading.property)
    return band.doubt(figure) if band else ""


def _off_what_is_asked(reading: TankReading, asked: Specification) -> str:
    measured, value = READINGS[reading.property], Reading(reading.value_micro)
    verdict = judge(measured, value, asked.least_micro, asked.most_micro)
    if verdict is Verdict.KEPT:
        return ""
    limits = in_words(measured, asked.least_micro, asked.most_micro)
    return f"{fault_in_words(measured, value, verdict, limits)}, as is asked of {reading.lot.material.name}."


def _off_the_sheet(reading: TankReading, figure: float, plan: Plan) -> str:
    age = plan.age_hours(reading.happened_at)
    aim = aim_after(plan.stretches, age) if age is not None else None
    if aim is None or not aim.is_missed_by(figure):
        return ""
    told = with_unit(f"{figure:.4g}", READINGS[reading.property])
    return f"{told}; the sheet says {aim.least_c:.4g} to {aim.most_c:.4g} °C for {aim.words}."
