"""Aims: what the readings of a brew were to be by its sheet, for the length that is brewed."""

from dataclasses import dataclass, field

from brewery.production.models import Brew, LogEntry
from brewery.science.brew_readings import (
    Target,
    bitterness_target,
    colour_target,
    gravity_target,
    temperature_target,
    volume_target,
)
from brewery.science.units import MICRO

_Step, _Property = LogEntry.Step, LogEntry.Property
_MILLI = 1000


@dataclass(frozen=True)
class Aims:
    """The targets by step and property; of the mash any rest of the sheet may be meant, so the nearest counts."""

    targets: dict[tuple[str, str], Target] = field(default_factory=dict)
    mash_c: tuple[float, ...] = ()

    def target_of(self, step: str, property: str, figure: float) -> Target | None:
        """Return what a reading was to be, or None where the sheet does not say."""
        if (step, property) == (_Step.MASH, _Property.TEMPERATURE) and self.mash_c:
            return temperature_target(min(self.mash_c, key=lambda rest: abs(rest - figure)))
        return self.targets.get((step, property))


def aims_of(brew: Brew) -> Aims:
    """Return the aims of the brew; none where it is brewed by no sheet. Volumes are at 20 °C."""
    sheet = brew.sheet
    if sheet is None or brew.cold_wort_micro is None:
        return Aims()
    cold_l = brew.cold_wort_micro / MICRO
    original = gravity_target(sheet.original_gravity_milli_p / _MILLI)
    targets: dict[tuple[str, str], Target] = {
        (_Step.KETTLE_FULL, _Property.VOLUME): volume_target(cold_l / (1 - sheet.evaporation_ppm / MICRO)),
        (_Step.CAST_OUT, _Property.VOLUME): volume_target(cold_l),
        (_Step.KNOCK_OUT, _Property.VOLUME): volume_target(cold_l),
        (_Step.CAST_OUT, _Property.GRAVITY): original,
        (_Step.KNOCK_OUT, _Property.GRAVITY): original,
        (_Step.FINISHED, _Property.GRAVITY): gravity_target(sheet.final_gravity_milli_p / _MILLI),
    }
    if sheet.bitterness_milli_bu is not None:
        targets[_Step.FINISHED, _Property.BITTERNESS] = bitterness_target(sheet.bitterness_milli_bu / _MILLI)
    if sheet.colour_milli_ebc is not None:
        targets[_Step.FINISHED, _Property.COLOUR] = colour_target(sheet.colour_milli_ebc / _MILLI)
    first = sheet.cellar_steps.first()
    if first:
        targets[_Step.PITCHED, _Property.TEMPERATURE] = temperature_target(first.temperature_milli_c / _MILLI)
    mash = sheet.mash_steps.values_list("temperature_milli_c", flat=True)
    return Aims(targets, tuple(milli / _MILLI for milli in mash))
