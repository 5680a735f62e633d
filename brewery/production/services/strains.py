"""Strains: what a yeast strain is held to is set anew from a day on."""

from datetime import date
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import StrainSetting
from brewery.science.properties import plain
from brewery.science.ranges import Range
from brewery.science.units import MICRO
from brewery.science.yeast import RATE
from inventory.models import Material
from inventory.services.refusals import WrongMaterial

_GENERATION = Range(1, 100, "", "Breweries hold 5 to 10 generations or fewer.")
_VIABILITY = Range(0, 100, "%", "Usual are 80 to 95 %.")
_DAYS = Range(0, 365, "days", "Usual are 3 to 14 days.")


@once("set_strain", returns=StrainSetting)
def set_strain(
    *,
    material: Material,
    last_generation: int,
    least_viability_micro: int,
    most_days: int,
    rate_micro: int,
    in_force_from: date,
    actor: User,
    request_id: UUID,
    harvest_from_days: int | None = None,
    harvest_until_days: int | None = None,
    source: str = "",
) -> StrainSetting:
    """From that day on the strain is held to this; what was pitched or harvested before stays as it was.

    Raises WrongMaterial for what is no yeast, InvalidInput.
    """
    if material.kind != Material.Kind.YEAST:
        raise WrongMaterial(lot=material.name, kind=material.get_kind_display(), wanted="yeast", field="material")
    _check(_GENERATION, "last_generation", last_generation)
    _check(_VIABILITY, "least_viability", least_viability_micro, MICRO)
    _check(_DAYS, "most_days", most_days)
    _check(RATE, "rate", rate_micro, MICRO)
    for field, days in (("harvest_from_days", harvest_from_days), ("harvest_until_days", harvest_until_days)):
        if days is not None:
            _check(_DAYS, field, days)
    if None not in (harvest_from_days, harvest_until_days) and harvest_from_days > harvest_until_days:  # type: ignore[operator]
        raise InvalidInput(
            field="harvest_until_days", value=harvest_until_days, problem="It lies before the harvest begins."
        )
    return StrainSetting.objects.create(
        material=material,
        last_generation=last_generation,
        least_viability_micro=least_viability_micro,
        most_days=most_days,
        rate_micro=rate_micro,
        harvest_from_days=harvest_from_days,
        harvest_until_days=harvest_until_days,
        in_force_from=in_force_from,
        source=source,
        request_id=request_id,
    )


def _check(allowed: Range, field: str, value: int, parts: int = 1) -> None:
    """Raise InvalidInput with the value as it was written, where it cannot be."""
    if value / parts not in allowed:
        problem = f"It must be {allowed}. {allowed.advice}"
        raise InvalidInput(field=field, value=plain(value * MICRO // parts), problem=problem)
