"""Grain: the extract that a grist holds, what of it the brewhouse wins, and the wort that comes of it.

Two percentages that are easily mixed up: the yield is extract by the weight of malt as received, the efficiency is
extract by the extract that the malt holds. Keep each with its name.
"""

import enum
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from math import nextafter

from brewery.science.gravity import extract_kg, plato_of_extract
from brewery.science.ranges import ANY_MASS_KG, MASS_KG, PER_CENT, Range

EXTRACT_PCT = Range(0, 100, "%", "Take the fine-grind extract, as-is, of the certificate.", above_least=True)
EFFICIENCY_PCT = Range(
    0, 100, "%", "No brewhouse wins more than the malt holds: look up the weights.", above_least=True
)
DIFFERENCE_PCT = Range(-1, 20, "points", "Subtract the coarse from the fine extract, both on one basis.")
LINTNER = Range(4.58, 600, "°L", "Write the diastatic power in degrees Lintner.")

SUCROSE_EXTRACT_PCT = 100.0
DEXTROSE_MONOHYDRATE_EXTRACT_PCT = 100 * 180.156 / 198.171
"""The rest of it is water of crystallisation: from atomic masses."""


@dataclass(frozen=True, slots=True)
class GristPart:
    """One malt of a grist: its weight as received in kg, and its fine-grind extract as it is, in %."""

    mass_kg: float
    extract_as_is_pct: float

    def __post_init__(self) -> None:
        ANY_MASS_KG.check("mass_kg", self.mass_kg)
        EXTRACT_PCT.check("extract_as_is_pct", self.extract_as_is_pct)


class Modification(enum.StrEnum):
    """How well malt gave way to a coarse grind."""

    VERY_GOOD = "very good"
    GOOD = "good"
    SATISFACTORY = "satisfactory"
    POOR = "poor"
    VERY_POOR = "very poor"


_MODIFICATION_STARTS = (1.3, 2.0, 2.7, nextafter(3.3, 4))


def theoretical_extract_kg(grist: Iterable[GristPart]) -> float:
    """Return the kilograms of extract that the grist holds."""
    return sum(part.mass_kg * part.extract_as_is_pct / 100 for part in grist)


def brewhouse_yield_pct(won_kg: float, malt_kg: float) -> float:
    """Return the extract won in % of the malt as received. Raises OutOfRange."""
    ANY_MASS_KG.check("won_kg", won_kg)
    MASS_KG.check("malt_kg", malt_kg)
    return 100 * won_kg / malt_kg


def brewhouse_efficiency_pct(won_kg: float, theoretical_kg: float) -> float:
    """Return the extract won in % of what the malt holds; above 100, a figure is wrong. Raises OutOfRange."""
    ANY_MASS_KG.check("won_kg", won_kg)
    MASS_KG.check("theoretical_kg", theoretical_kg)
    return 100 * won_kg / theoretical_kg


def predicted_plato(
    grist: Iterable[GristPart], efficiency_pct: float, cold_hl: float, sugar_extract_kg: float = 0
) -> float:
    """Return the °P of the wort at 20 °C. Sugar added to the kettle counts whole. Raises OutOfRange."""
    EFFICIENCY_PCT.check("efficiency_pct", efficiency_pct)
    ANY_MASS_KG.check("sugar_extract_kg", sugar_extract_kg)
    return plato_of_extract(theoretical_extract_kg(grist) * efficiency_pct / 100 + sugar_extract_kg, cold_hl)


def malt_mass_kg(target_plato: float, cold_hl: float, extract_as_is_pct: float, efficiency_pct: float) -> float:
    """Return the malt, as received, in kg for a wort at 20 °C. Raises OutOfRange.

    With a grist of several malts: give the extract of the mixture, their mean by weight.
    """
    EXTRACT_PCT.check("extract_as_is_pct", extract_as_is_pct)
    EFFICIENCY_PCT.check("efficiency_pct", efficiency_pct)
    return extract_kg(cold_hl, target_plato) / (extract_as_is_pct / 100 * efficiency_pct / 100)


def sugar_extract_kg(mass_kg: float, extract_pct: float) -> float:
    """Return the extract of a brewing sugar in kg; syrups hold about 75 to 80 % (memory). Raises OutOfRange."""
    ANY_MASS_KG.check("mass_kg", mass_kg)
    PER_CENT.check("extract_pct", extract_pct)
    return mass_kg * extract_pct / 100


def modification(fine_coarse_points: float) -> Modification:
    """Return how well modified malt is, by fine less coarse extract in points, both on one basis.

    Below 1.3, from 1.3, from 2.0, from 2.7, above 3.3: e-malt.com; the names of all but the best from memory. Raises
    OutOfRange.
    """
    DIFFERENCE_PCT.check("fine_coarse_points", fine_coarse_points)
    return list(Modification)[bisect_right(_MODIFICATION_STARTS, fine_coarse_points)]


def windisch_kolbach(lintner: float) -> float:
    """Return the diastatic power in Windisch-Kolbach units: 3.5 · °Lintner - 16 (memory). Raises OutOfRange."""
    LINTNER.check("lintner", lintner)
    return 3.5 * lintner - 16
