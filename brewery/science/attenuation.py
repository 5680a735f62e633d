"""Attenuation: real extract, alcohol and degrees of fermentation from extract before and after.

All by Balling's figures: 2.0665 g extract give 1 g alcohol, 0.9565 g carbon dioxide and 0.11 g yeast. Against plant
means of 532 brews (Cutaia, Reid and Speers, J. Inst. Brew. 115(4), 2009) they hold to 0.3 °P of original extract. A
check of plausibility only: alcohol for a label or for duty must be measured, and the local authority says how. Beer
diluted after fermentation does not follow the formula ("Balling's formula - scrutiny of a brewing dogma", Brauwelt).
"""

from dataclasses import dataclass

from brewery.science.contraction import WATER_20_KG_L
from brewery.science.estimates import Estimate
from brewery.science.gravity import specific_gravity, wort_density_kg_l
from brewery.science.ranges import Range

ETHANOL_20_KG_L = 0.78924
"""The density of ethanol at 20 °C in kg/L (memory)."""

ORIGINAL_EXTRACT_ROOM = 0.3
REAL_EXTRACT_ROOM = 0.2
ALCOHOL_ROOM = 0.2
"""How far the formulas are off, in °P, °P and % vol: from Cutaia, Reid and Speers 2009."""

_EXTRACT_PER_ALCOHOL = 2.0665
_CO2_PER_ALCOHOL = 0.9565
_YEAST_PER_ALCOHOL = 0.11

ORIGINAL = Range(0, 25, "°P", "Give the extract of the wort before fermentation.", above_least=True)
ALCOHOL_PCT = Range(0, 15, "% by weight", "Look up whether alcohol by volume was written.")
APPARENT_PCT = Range(0, 120, "%", "Usual are 60 to 90 %; somewhat above 100 the driest beers.")
BEER_SG = Range(0.9884, 1.106, "", "Write the specific gravity of the beer, such as 1.010.")
EXTRACT_LEFT = Range(-3, 25, "°P", "Look up the extract again.")
EXTRACT = Range(0, 25, "°P", "Look up the extract again.")


@dataclass(frozen=True, slots=True)
class Attenuation:
    """What two readings of extract say of a beer: real extract in °P, alcohol in % by weight and by volume, and the
    apparent and the real degree of fermentation in %."""

    real_extract: Estimate
    alcohol_by_weight_pct: float
    alcohol_by_volume_pct: Estimate
    apparent_pct: float
    real_pct: float


@dataclass(frozen=True, slots=True)
class FermentationBalance:
    """What became of the wort, in g for each 100 g of beer, and by how many % of its volume it grew."""

    wort_g: float
    alcohol_g: float
    co2_g: float
    yeast_g: float
    volume_change_pct: float


def attenuation(original_plato: float, apparent_plato: float) -> Attenuation:
    """Return what original and apparent extract, both in °P, say of a beer. Raises OutOfRange.

    The intervals are how far the formulas were off on plant means.
    """
    real = real_extract(original_plato, apparent_plato)
    by_weight = alcohol_by_weight_pct(original_plato, real)
    by_volume = alcohol_by_volume_pct(by_weight, specific_gravity(apparent_plato))
    return Attenuation(
        Estimate.give_or_take(real, REAL_EXTRACT_ROOM),
        by_weight,
        Estimate(by_volume, max(0.0, by_volume - ALCOHOL_ROOM), by_volume + ALCOHOL_ROOM),
        apparent_attenuation_pct(original_plato, apparent_plato),
        real_degree_of_fermentation_pct(original_plato, real),
    )


def real_extract(original_plato: float, apparent_plato: float) -> float:
    """Return the real extract in °P: 0.1808 original + 0.8192 apparent (Balling; the two figures from memory).

    0.1 to 0.2 °P lower than by alcohol and gravity. Raises OutOfRange where the extract would have grown.
    """
    _check_fell(original_plato, "apparent_plato", apparent_plato)
    return apparent_plato + 0.1808 * (original_plato - apparent_plato)


def real_extract_by_alcohol(apparent_plato: float, by_weight_pct: float) -> float:
    """Return the real extract in °P from apparent extract and measured alcohol in % by weight.

    (AE + 0.4654 A - 0.003615 A²) / 0.9962: cargillfoods.com, Brewing calculations. Raises OutOfRange.
    """
    EXTRACT_LEFT.check("apparent_plato", apparent_plato)
    ALCOHOL_PCT.check("by_weight_pct", by_weight_pct)
    return (apparent_plato + 0.4654 * by_weight_pct - 0.003615 * by_weight_pct**2) / 0.9962


def alcohol_by_weight_pct(original_plato: float, real_plato: float) -> float:
    """Return the alcohol in % by weight: Balling's formula solved for it. Raises OutOfRange."""
    _check_fell(original_plato, "real_plato", real_plato)
    growth = (_EXTRACT_PER_ALCOHOL - 1) / 100
    return (original_plato - real_plato) / (_EXTRACT_PER_ALCOHOL - growth * original_plato)


def alcohol_by_volume_pct(by_weight_pct: float, beer_sg: float) -> float:
    """Return the alcohol in % vol at 20 °C of beer of a specific gravity. Raises OutOfRange."""
    ALCOHOL_PCT.check("by_weight_pct", by_weight_pct)
    BEER_SG.check("beer_sg", beer_sg)
    return by_weight_pct * beer_sg * WATER_20_KG_L / ETHANOL_20_KG_L


def original_extract(by_weight_pct: float, real_plato: float) -> float:
    """Return the original extract in °P from alcohol in % by weight and real extract: Balling's formula, ± 0.3 °P.

    100 (2.0665 A + RE) / (100 + 1.0665 A): cargillfoods.com, Brewing calculations. Raises OutOfRange.
    """
    ALCOHOL_PCT.check("by_weight_pct", by_weight_pct)
    EXTRACT.check("real_plato", real_plato)
    extract_g = _EXTRACT_PER_ALCOHOL * by_weight_pct + real_plato
    return 100 * extract_g / (100 + (_EXTRACT_PER_ALCOHOL - 1) * by_weight_pct)


def apparent_attenuation_pct(original_plato: float, apparent_plato: float) -> float:
    """Return by how many % the apparent extract has fallen; more than 100 below water. Raises OutOfRange."""
    _check_fell(original_plato, "apparent_plato", apparent_plato)
    return 100 * (original_plato - apparent_plato) / original_plato


def apparent_extract(original_plato: float, apparent_pct: float) -> float:
    """Return the apparent extract in °P of a beer that ferments so far, as yeasts and sheets tell it.

    Raises OutOfRange.
    """
    ORIGINAL.check("original_plato", original_plato)
    APPARENT_PCT.check("apparent_pct", apparent_pct)
    return original_plato * (1 - apparent_pct / 100)


def real_degree_of_fermentation_pct(original_plato: float, real_plato: float) -> float:
    """Return which % of the extract was fermented: ASBC Beer-6B (constants from memory). Raises OutOfRange."""
    _check_fell(original_plato, "real_plato", real_plato)
    return 100 * (original_plato - real_plato) / original_plato / (1 - 0.005161 * real_plato)


def beer_sg_by_parts(alcohol_sg: float, real_extract_sg: float) -> float:
    """Return the specific gravity of beer from that of its alcohol in water and of its extract in water.

    Tabarié's formula, as in MEBAK. Raises OutOfRange.
    """
    BEER_SG.check("alcohol_sg", alcohol_sg)
    BEER_SG.check("real_extract_sg", real_extract_sg)
    return alcohol_sg + real_extract_sg - 1


def fermentation_balance(original_plato: float, apparent_plato: float) -> FermentationBalance:
    """Return what became of the wort, for each 100 g of beer that it gave. Raises OutOfRange."""
    alcohol_g = attenuation(original_plato, apparent_plato).alcohol_by_weight_pct
    wort_g = 100 + (_EXTRACT_PER_ALCOHOL - 1) * alcohol_g
    wort_volume, beer_volume = wort_g / wort_density_kg_l(original_plato), 100 / wort_density_kg_l(apparent_plato)
    return FermentationBalance(
        wort_g,
        alcohol_g,
        _CO2_PER_ALCOHOL * alcohol_g,
        _YEAST_PER_ALCOHOL * alcohol_g,
        100 * (beer_volume / wort_volume - 1),
    )


def co2_formed_kg_per_hl(original_plato: float, apparent_plato: float) -> float:
    """Return the carbon dioxide that fermentation forms, in kg for each hL of beer at 20 °C. Raises OutOfRange.

    It fills cellars and kills: ventilate, measure before entering, and follow the site's rules.
    """
    return fermentation_balance(original_plato, apparent_plato).co2_g * wort_density_kg_l(apparent_plato)


def _check_fell(original_plato: float, field: str, later_plato: float) -> None:
    ORIGINAL.check("original_plato", original_plato)
    advice = "Extract does not grow in fermentation: look up both readings and what was added."
    Range(EXTRACT_LEFT.least, original_plato, "°P", advice).check(field, later_plato)
