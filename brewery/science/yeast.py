"""Yeast: how many living cells a wort wants, and how much slurry holds them.

Counts of slurries differ by a factor of 2.5 between sources, so none is assumed: count each crop.
"""

import math
from dataclasses import dataclass

from brewery.science.gravity import EXTRACT_PLATO
from brewery.science.ranges import VOLUME_HL, OutOfRange, Range

RATE = Range(0.1, 5, "million cells per mL and °P", "Usual are 0.75 for ales to 2 for lagers.")
CELLS_PER_ML = Range(1e6, 2e10, "cells/mL", "Slurries hold 1 to 4.5 thousand million cells in a mL; count again.")
CELLS = Range(0, math.inf, "cells", "Count again.")
COUNTED = Range(0, 1e6, "cells", "Count again.")
DILUTION = Range(1, 1e6, "", "Write how many times the slurry was thinned: 200 for 1 in 200.")
LITRES = Range(0, math.inf, "L", "Measure the slurry again.")
SLURRY_KG_L = Range(0.9, 1.3, "kg/L", "Slurry weighs about 1.0 to 1.1 kg in a litre.")
VIABILITY_PCT = Range(0, 100, "%", "Count dead and living cells again.", above_least=True)
WILD_PER_MILLION = Range(0, 1e6, "per million cells", "Count again.")

WILD_YEAST_TOO_MANY_PER_MILLION = 100
"""From here on yeast is not pitched: Richards, J. Inst. Brew. 1968."""


@dataclass(frozen=True, slots=True)
class PitchingRate:
    """Million living cells for each mL of wort and °P, for one kind of beer, by one source."""

    kind: str
    million_per_ml_plato: float
    source: str


_FIX = "Fix, An Analysis of Brewing Techniques, as quoted on thehomebrewforum.co.uk"
PITCHING_RATES = (
    PitchingRate("ale", 0.75, _FIX),
    PitchingRate("lager", 1.5, _FIX),
    PitchingRate("lager, also", 1.25, "madisonbeerreview.com 2012/04"),
    PitchingRate("any, commercial", 1.0, "byo.com, pitching rates"),
)
"""Published rates to choose a default from; each strain may have its own."""


def cells_wanted(million_per_ml_plato: float, extract_plato: float, volume_hl: float) -> float:
    """Return the living cells to pitch into a wort at 20 °C. Raises OutOfRange."""
    RATE.check("million_per_ml_plato", million_per_ml_plato)
    EXTRACT_PLATO.check("extract_plato", extract_plato)
    VOLUME_HL.check("volume_hl", volume_hl)
    return million_per_ml_plato * 1e6 * extract_plato * volume_hl * 1e5


def slurry_l(living_cells: float, cells_per_ml: float, viability_pct: float) -> float:
    """Return the litres of slurry that hold so many living cells; cells_per_ml counts dead ones too.

    Raises OutOfRange.
    """
    CELLS.check("living_cells", living_cells)
    _check_slurry(cells_per_ml, viability_pct)
    return living_cells / (cells_per_ml * viability_pct / 100) / 1000


def living_cells(slurry_litres: float, cells_per_ml: float, viability_pct: float) -> float:
    """Return the living cells in so many litres of slurry: no more can be pitched of it. Raises OutOfRange."""
    LITRES.check("slurry_litres", slurry_litres)
    _check_slurry(cells_per_ml, viability_pct)
    return slurry_litres * 1000 * cells_per_ml * viability_pct / 100


def slurry_kg(slurry_litres: float, density_kg_l: float) -> float:
    """Return the weight of slurry; weigh a litre of the crop for its density. Raises OutOfRange."""
    LITRES.check("slurry_litres", slurry_litres)
    SLURRY_KG_L.check("density_kg_l", density_kg_l)
    return slurry_litres * density_kg_l


def counted_cells_per_ml(mean_per_square: float, dilution: float) -> float:
    """Return the cells in a mL from the mean count of a square of 0.1 µL (Neubauer; memory). Raises OutOfRange."""
    COUNTED.check("mean_per_square", mean_per_square)
    DILUTION.check("dilution", dilution)
    return mean_per_square * dilution * 1e4


def counted_viability_pct(living: int, dead: int) -> float:
    """Return the living cells in % of all counted: those that methylene blue left unstained.

    MEBAK M-350; it flatters poor yeast (MBAA TQ 1997 34(1)), so below about 80 to 85 % use another stain (memory).
    Raises OutOfRange where nothing was counted.
    """
    COUNTED.check("living", living)
    COUNTED.check("dead", dead)
    if not living + dead:
        raise OutOfRange("living", living, "Nothing was counted: count some hundred cells.")
    return 100 * living / (living + dead)


def has_too_much_wild_yeast(per_million_cells: float) -> bool:
    """Return whether yeast holds 100 wild cells or more in a million: discard it. Raises OutOfRange."""
    WILD_PER_MILLION.check("per_million_cells", per_million_cells)
    return per_million_cells >= WILD_YEAST_TOO_MANY_PER_MILLION


def _check_slurry(cells_per_ml: float, viability_pct: float) -> None:
    CELLS_PER_ML.check("cells_per_ml", cells_per_ml)
    VIABILITY_PCT.check("viability_pct", viability_pct)
