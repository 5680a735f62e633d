"""When yeast may be harvested: after the fermentation has ended, within the strain's days, and not too old by then."""

from datetime import datetime

from brewery.kernel.clock import brewery_day, on_the_wall
from brewery.kernel.errors import DomainError
from brewery.production.queries.fermentations import Fermentation, fermentation_of
from brewery.production.queries.strains import Strain, strains_on
from brewery.production.queries.tank_readings import in_words
from brewery.science.generations import crop_generation
from inventory.models import Location, Lot
from inventory.services.refusals import BY_OVERRIDE

_SECONDS_A_DAY = 86_400


class HarvestTooEarly(DomainError):
    code = "harvest_too_early"
    title = "The fermentation has not ended by what was read."
    template = "{vessel} is not known to have ended its fermentation: {why} {last}; {expected}."
    advice = f"Read its gravity again and wait, {BY_OVERRIDE}."


class OutsideTheHarvestWindow(DomainError):
    code = "outside_the_harvest_window"
    title = "It is not the time in which this strain is harvested."
    template = "{vessel} was pitched {days} days before; {strain} is harvested {window} after the pitch."
    advice = f"Harvest within these days, {BY_OVERRIDE}."


class CropTooOld(DomainError):
    code = "crop_too_old"
    title = "The crop would be too old in generation."
    template = "A crop of {vessel} would be of generation {generation}; of {strain}, {most} is the last that is used."
    advice = f"Discard this yeast after use and pitch younger yeast, {BY_OVERRIDE}."


def refuse_harvest(vessel: Location, beer: Lot, yeast: Lot, happened_at: datetime) -> None:
    """Raise HarvestTooEarly, OutsideTheHarvestWindow or CropTooOld where yeast is not harvested from the tank then.

    `yeast` is the mother whose strain counts. Readings later than the moment count for nothing.
    """
    strain = strains_on({yeast.material_id}, brewery_day(happened_at))[yeast.material_id]
    generation = crop_generation([beer.generation] if beer.generation else [])
    if generation > strain.last_generation:
        raise CropTooOld(
            vessel=vessel,
            generation=generation,
            strain=yeast.material.name,
            most=strain.last_generation,
            field="vessel",
        )
    told = fermentation_of(vessel, happened_at)
    if told is None:
        return
    if not told.has_ended:
        raise HarvestTooEarly(
            vessel=vessel, why=told.judgement.why, last=_last_gravity(told), expected=_expected(told), field="vessel"
        )
    _refuse_other_days(told, strain, yeast, happened_at)


def _refuse_other_days(told: Fermentation, strain: Strain, yeast: Lot, happened_at: datetime) -> None:
    if told.pitched_at is None:
        return
    days = (happened_at - told.pitched_at).total_seconds() / _SECONDS_A_DAY
    first, last = strain.harvest_from_days, strain.harvest_until_days
    if (first is not None and days < first) or (last is not None and days > last):
        raise OutsideTheHarvestWindow(
            vessel=told.vessel,
            days=f"{days:.1f}",
            strain=yeast.material.name,
            window=_window(first, last),
            field="happened_at",
        )


def _window(first: int | None, last: int | None) -> str:
    if first is None:
        return f"until day {last}"
    return f"from day {first} on" if last is None else f"from day {first} to day {last}"


def _last_gravity(told: Fermentation) -> str:
    if not told.gravities:
        return "No gravity was read"
    last = told.gravities[-1]
    return f"{in_words(last)} was read last, at {on_the_wall(last.happened_at)}"


def _expected(told: Fermentation) -> str:
    if told.ends_at is None:
        return "when it ends cannot be told yet"
    best, earliest, latest = (on_the_wall(moment) for moment in told.ends_at)
    return f"the end is expected at {best}, between {earliest} and {latest}"
