"""Bitterness: what the photometer says, what hops bring, and how much of them a beer needs.

Bitterness units and mg/L of iso-alpha acids are taken as the same figure here, as dosing does. They part for old hops:
bitterness units keep to the taste, specific iso-alpha lies clearly lower (ASBC Beer-23).
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from brewery.science.estimates import Estimate
from brewery.science.hop_index import ALPHA_PCT
from brewery.science.ranges import ABSORBANCE, ANY_MASS_KG, PART, SOME_PART, VOLUME_HL, OutOfRange, Range
from brewery.science.utilisation import BITTERNESS

DILUTION = Range(1, 100, "", "Write how many times the sample was thinned: 2 for 5 mL wort and 5 mL water.")
PRECISE_FROM = Range(8, 200, "BU", "The published line of precision means nothing below 8 BU.")
DENSITY = Range(0.5, 2, "g/mL", "Write the density of the product, such as 1.075.")


@dataclass(frozen=True, slots=True)
class Precision:
    """How far two readings of one beer may lie apart, in BU: in one laboratory, and in two."""

    within: float
    between: float


@dataclass(frozen=True, slots=True)
class HopAddition:
    """One addition: its weight in kg, its alpha acids in % on that day, and the part of them that will be used."""

    mass_kg: float
    alpha_pct: Estimate
    utilisation: Estimate


def bitterness_units(a275: float, dilution: float = 1) -> float:
    """Return BU from the absorbance at 275 nm of the iso-octane extract in a cell of 1 cm: 50 · A275 · dilution.

    EBC 9.8, ASBC Beer-23A, MEBAK B-400.17.110. Report it without decimals. Not valid with saccharin, salicylic or
    sorbic acid, or p-hydroxybenzoates (MEBAK). Raises OutOfRange.
    """
    ABSORBANCE.check("a275", a275)
    DILUTION.check("dilution", dilution)
    return 50 * a275 * dilution


def precision(bitterness_bu: float) -> Precision:
    """Return the repeatability -0.36 + 0.05 m and the reproducibility 0.72 + 0.14 m of EBC bitterness units, from 8 BU.

    Source: a photometer's working procedure for EBC bitter units (handbucher.com 333008). Raises OutOfRange.
    """
    PRECISE_FROM.check("bitterness_bu", bitterness_bu)
    return Precision(-0.36 + 0.05 * bitterness_bu, 0.72 + 0.14 * bitterness_bu)


def bitterness_mg_l(mass_kg: float, alpha_pct: float, utilisation: float, volume_hl: float) -> float:
    """Return the mg/L that one addition brings to a volume. Raises OutOfRange."""
    ANY_MASS_KG.check("mass_kg", mass_kg)
    ALPHA_PCT.check("alpha_pct", alpha_pct)
    PART.check("utilisation", utilisation)
    VOLUME_HL.check("volume_hl", volume_hl)
    return mass_kg * alpha_pct / 100 * utilisation * 10_000 / volume_hl


def predicted_bitterness(additions: Sequence[HopAddition], volume_hl: float) -> Estimate:
    """Return the mg/L that the additions bring together. Raises OutOfRange.

    The assays err each for itself, so their errors add as squares; the utilisation errs for the whole brewhouse, so its
    errors add as they are; the two then add as squares (rules of the Guide to the expression of uncertainty, JCGM
    100:2008, from memory).
    """

    def brought(addition: HopAddition, alpha_pct: float, utilisation: float) -> float:
        return bitterness_mg_l(addition.mass_kg, alpha_pct, utilisation, volume_hl)

    def room(alphas: Iterable[float], utilisations: Iterable[float]) -> float:
        by_assay = math.hypot(*(b - a for a, b in zip(middle, alphas, strict=True)))
        return math.hypot(by_assay, math.fsum(utilisations) - total)

    middle = [brought(one, one.alpha_pct.value, one.utilisation.value) for one in additions]
    total = math.fsum(middle)
    below = room(
        [brought(one, one.alpha_pct.low, one.utilisation.value) for one in additions],
        [brought(one, one.alpha_pct.value, one.utilisation.low) for one in additions],
    )
    above = room(
        [brought(one, one.alpha_pct.high, one.utilisation.value) for one in additions],
        [brought(one, one.alpha_pct.value, one.utilisation.high) for one in additions],
    )
    return Estimate(total, max(0.0, total - below), total + above)


def iso_mass_g(target_mg_l: float, volume_hl: float) -> float:
    """Return the grams of iso-alpha acids that a volume holds at a bitterness. Raises OutOfRange."""
    BITTERNESS.check("target_mg_l", target_mg_l)
    VOLUME_HL.check("volume_hl", volume_hl)
    return target_mg_l * volume_hl / 10


def alpha_mass_g(target_mg_l: float, volume_hl: float, utilisation: float) -> float:
    """Return the grams of alpha acids to add for a bitterness. Raises OutOfRange."""
    SOME_PART.check("utilisation", utilisation)
    return iso_mass_g(target_mg_l, volume_hl) / utilisation


def hop_mass_kg(target_mg_l: float, volume_hl: float, alpha_pct: float, utilisation: float) -> float:
    """Return the hops to add, in kg, for a bitterness in the volume that the utilisation is meant for.

    Raises OutOfRange.
    """
    ALPHA_PCT.check("alpha_pct", alpha_pct)
    return alpha_mass_g(target_mg_l, volume_hl, utilisation) / (alpha_pct / 100) / 1000


def bittering_mass_kg(
    target_mg_l: float, volume_hl: float, others: Iterable[HopAddition], alpha_pct: float, utilisation: float
) -> float:
    """Return the hops, in kg, of the one addition that makes up what the others leave of the bitterness.

    Raises OutOfRange where the others already bring more than is wanted.
    """
    brought = math.fsum(
        bitterness_mg_l(other.mass_kg, other.alpha_pct.value, other.utilisation.value, volume_hl) for other in others
    )
    if brought > target_mg_l:
        problem = f"The other additions bring {brought:.1f} mg/L already: take less of them, or raise the target."
        raise OutOfRange("target_mg_l", target_mg_l, problem)
    return hop_mass_kg(target_mg_l - brought, volume_hl, alpha_pct, utilisation)


def rescaled_mass_kg(mass_kg: float, planned_alpha_pct: float, alpha_pct: float) -> float:
    """Return the weight that brings the alpha acids planned, with hops of another alpha: mass · planned / actual.

    Equal alpha is not quite equal bitterness: hops kept for a year at 20 °C gave 2 BU less (Kvasny prumysl 2012, 58(5),
    148). Correct that by hand, if at all. Raises OutOfRange.
    """
    ANY_MASS_KG.check("mass_kg", mass_kg)
    ALPHA_PCT.check("planned_alpha_pct", planned_alpha_pct)
    ALPHA_PCT.check("alpha_pct", alpha_pct)
    return mass_kg * planned_alpha_pct / alpha_pct


def iso_extract_mass_g(added_mg_l: float, volume_hl: float, iso_part: float, yield_part: float) -> float:
    """Return the grams of an isomerised extract that lift finished beer by so many mg/L.

    `iso_part` of its weight is iso-alpha acid, `yield_part` of that stays in the beer. Raises OutOfRange.
    """
    SOME_PART.check("iso_part", iso_part)
    SOME_PART.check("yield_part", yield_part)
    return iso_mass_g(added_mg_l, volume_hl) / iso_part / yield_part


def iso_extract_volume_ml(mass_g: float, density_g_ml: float) -> float:
    """Return the millilitres of an extract of that density. Raises OutOfRange."""
    DENSITY.check("density_g_ml", density_g_ml)
    return mass_g / density_g_ml
