"""Strains: what each yeast strain is held to on a day."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from brewery.production.models import StrainSetting
from brewery.science.units import MICRO
from brewery.science.viability import USUAL_REFUSAL_PCT


@dataclass(frozen=True)
class Strain:
    """What a strain is held to: viability in %, the rate in million living cells for each mL and °P.

    Left unset it is what is published: 5 to 10 cycles or fewer (Quain, Generation number, ebrary.net 83041), common
    practice for viability (memory), at most 14 days at 1 °C (Wyeast, yeast storage), 1.0 of the commercial rule
    (byo.com, pitching rates). No window of harvest is published for all strains.
    """

    last_generation: int = 10
    least_viability_pct: float = USUAL_REFUSAL_PCT
    most_days: int = 14
    rate: float = 1.0
    harvest_from_days: int | None = None
    harvest_until_days: int | None = None
    source: str = "usual values, as nothing was set for the strain"


USUAL = Strain()


def strains_on(materials: Collection[int], day: date) -> dict[int, Strain]:
    """Return for each material, by id, what it is held to on that day."""
    rows = StrainSetting.objects.filter(material__in=materials, in_force_from__lte=day).order_by("in_force_from", "pk")
    found = {row.material_id: strain_of(row) for row in rows}
    return {material: found.get(material, USUAL) for material in materials}


def strain_of(row: StrainSetting) -> Strain:
    """Return what a setting says."""
    return Strain(
        row.last_generation,
        row.least_viability_micro / MICRO,
        row.most_days,
        row.rate_micro / MICRO,
        row.harvest_from_days,
        row.harvest_until_days,
        row.source or f"set for the strain from {row.in_force_from.isoformat()} on",
    )
