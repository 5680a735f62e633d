"""Liquor: the ions of brewing water with salts in it, and which salts come nearest to what is wanted."""

import math
from collections.abc import Mapping, Sequence
from itertools import combinations
from types import MappingProxyType

from brewery.science.bands import Band
from brewery.science.ranges import VOLUME_HL, OutOfRange, Range
from brewery.science.salts import CHALK, Ion, Salt

Ions = Mapping[Ion, float]

MOST_SALTS = 8
_PALMER = "homebrewingnews.com, water-101"
USUAL_IONS: Mapping[Ion, Band] = MappingProxyType(
    {
        Ion.CALCIUM: Band("Calcium", 50, 150, "mg/L", _PALMER),
        Ion.MAGNESIUM: Band("Magnesium", 10, 30, "mg/L", _PALMER),
        Ion.SODIUM: Band("Sodium", 0, 150, "mg/L", _PALMER),
        Ion.CHLORIDE: Band("Chloride", 0, 250, "mg/L", _PALMER),
        Ion.SULFATE: Band("Sulfate", 50, 350, "mg/L", f"{_PALMER}; above 150 for very bitter beers"),
        Ion.BICARBONATE: Band("Bicarbonate", 0, 250, "mg/L", f"{_PALMER}; 0 to 50 pale, above 150 dark beers"),
    }
)

ION_MG_L = Range(0, 20_000, "mg/L", "Look up the water's analysis.")
MASS_G = Range(0, math.inf, "g", "Weigh again.")


def with_salts(liquor: Ions, salts_g: Mapping[Salt, float], volume_hl: float) -> dict[Ion, float]:
    """Return the ions in mg/L of so many hL of water with so many grams of each salt, all of it dissolved.

    Raises OutOfRange.
    """
    VOLUME_HL.check("volume_hl", volume_hl)
    ions = dict(liquor)
    for ion, mg_l in liquor.items():
        ION_MG_L.check(ion, mg_l)
    for salt, mass_g in salts_g.items():
        MASS_G.check(salt.formula, mass_g)
        for ion, mg_per_g in salt.mg_per_g().items():
            ions[ion] = ions.get(ion, 0) + mg_per_g * mass_g / (100 * volume_hl)
    return ions


def salts_for(liquor: Ions, target: Ions, salts: Sequence[Salt], volume_hl: float) -> dict[Salt, float]:
    """Return the grams of each salt for so many hL of water that come nearest to the target; of some, none.

    Nearest is the least sum of squared misses in mg/L; an ion without a target is meant to stay as it is. Salts take
    nothing away: what the water has too much of stays. Raises OutOfRange for more than eight salts, or for chalk and
    lime, whose effect depends on mash and gas.
    """
    VOLUME_HL.check("volume_hl", volume_hl)
    _check_salts(salts)
    ions = sorted({ion for salt in salts for ion, _ in salt.ions} | set(target))
    missing = [target.get(ion, liquor.get(ion, 0)) - liquor.get(ion, 0) for ion in ions]
    columns = {salt: [salt.mg_per_g().get(ion, 0.0) for ion in ions] for salt in salts}
    best: dict[Salt, float] = {}
    least = _misses(columns, best, missing)
    for count in range(1, len(salts) + 1):
        for chosen in combinations(salts, count):
            amounts = _least_squares([columns[salt] for salt in chosen], missing)
            if amounts and min(amounts) >= 0:
                tried = dict(zip(chosen, amounts, strict=True))
                if (misses := _misses(columns, tried, missing)) < least - 1e-9:
                    best, least = tried, misses
    return {salt: best.get(salt, 0.0) * 100 * volume_hl for salt in salts}


def alkalinity_mg_l(bicarbonate_mg_l: float) -> float:
    """Return the alkalinity as mg/L of calcium carbonate that so much bicarbonate is. Raises OutOfRange."""
    ION_MG_L.check("bicarbonate_mg_l", bicarbonate_mg_l)
    return bicarbonate_mg_l * CHALK.mass / (2 * Ion.BICARBONATE.mass)


def residual_alkalinity_mg_l(alkalinity_mg_l: float, calcium_mg_l: float, magnesium_mg_l: float) -> float:
    """Return what alkalinity is left in the mash, as mg/L of calcium carbonate; below 0 the mash turns sourer.

    Alkalinity less Ca / 1.4 less Mg / 1.7 (Kolbach, from memory). Raises OutOfRange.
    """
    ION_MG_L.check("alkalinity_mg_l", alkalinity_mg_l)
    ION_MG_L.check("calcium_mg_l", calcium_mg_l)
    ION_MG_L.check("magnesium_mg_l", magnesium_mg_l)
    return alkalinity_mg_l - (calcium_mg_l / 1.4 + magnesium_mg_l / 1.7)


def _check_salts(salts: Sequence[Salt]) -> None:
    if len(set(salts)) > MOST_SALTS or len(set(salts)) < len(salts):
        raise OutOfRange("salts", len(salts), f"Choose among {MOST_SALTS} different salts or fewer.")
    for salt in salts:
        if not salt.only_dissolves:
            raise OutOfRange("salts", salt.name, "What it does depends on mash and gas: dose it by trial and pH.")


def _misses(columns: Mapping[Salt, Sequence[float]], amounts: Mapping[Salt, float], wanted: Sequence[float]) -> float:
    brought = (math.fsum(columns[salt][at] * g_l for salt, g_l in amounts.items()) for at in range(len(wanted)))
    return math.fsum((want - got) ** 2 for want, got in zip(wanted, brought, strict=True))


def _least_squares(columns: Sequence[Sequence[float]], wanted: Sequence[float]) -> list[float]:
    """The amounts that come nearest, by the normal equations; nothing where columns say the same thing.

    The nearest without negative amounts is the nearest of some set of columns that do not.
    """
    rows = [[*(_dot(a, b) for b in columns), _dot(a, wanted)] for a in columns]
    for at in range(len(rows)):
        pivot = max(range(at, len(rows)), key=lambda row: abs(rows[row][at]))
        if abs(rows[pivot][at]) < 1e-6:
            return []
        rows[at], rows[pivot] = rows[pivot], rows[at]
        rows = [row if row is rows[at] else _less(row, rows[at], at) for row in rows]
    return [row[-1] / row[at] for at, row in enumerate(rows)]


def _less(row: Sequence[float], pivot_row: Sequence[float], at: int) -> list[float]:
    factor = row[at] / pivot_row[at]
    return [value - factor * other for value, other in zip(row, pivot_row, strict=True)]


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return math.fsum(x * y for x, y in zip(a, b, strict=True))
