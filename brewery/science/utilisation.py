"""Utilisation: which part of the alpha acids added is found as bitterness, by table, by kinetics, or as measured.

A part of one, and always on a volume: that in which the bitterness is meant and was measured (packaged beer, or cold
wort). Keep the basis with the figure.
"""

import math
from collections.abc import Sequence

from brewery.science.estimates import Estimate, next_of
from brewery.science.isomerisation import Isomerised
from brewery.science.ranges import MASS_KG, MINUTES, VOLUME_HL, OutOfRange, Range

BITTERNESS = Range(0, 200, "mg/L", "Look up the sheet: beer holds about 100 mg/L at the most.")
GRAVITY_SG = Range(1, 1.13, "", "Write specific gravity, such as 1.048: the mean of the boil.")
DIVISOR = Range(1, 100, "", "Fit it so that the table meets what your beers measure; published is 4.15.")
ISO = Range(0, 1, "", "Heat the hops first: without iso-alpha acid there is nothing to compare.", above_least=True)
SURVIVAL = Range(0, 1, "", "The beer cannot hold more than the kettle made; look up the heats and the assay.")
TABLE_DIVISOR = 4.15


def table_utilisation(minutes: float, gravity_sg: float, divisor: float = TABLE_DIVISOR) -> float:
    """Return the part used after minutes of boil at the mean specific gravity of the boil; at most 1.65 / divisor.

    1.65 · 0.000125^(SG-1) · (1 - e^(-0.04 t)) / 4.15: Tinseth, as on realbeer.com; a fit to small brews. The divisor is
    what is meant to be fitted to a brewhouse; some measured 9 to 16 % where this says more. Raises OutOfRange.
    """
    MINUTES.check("minutes", minutes)
    GRAVITY_SG.check("gravity_sg", gravity_sg)
    DIVISOR.check("divisor", divisor)
    return float(1.65 * 0.000125 ** (gravity_sg - 1) * -math.expm1(-0.04 * minutes) / divisor)


def measured_utilisation(bitterness_mg_l: float, volume_hl: float, alpha_kg: float) -> float:
    """Return the part of the alpha acids of one brew that its beer measured. Raises OutOfRange.

    More than all of them is refused: then one of the three figures is wrong.
    """
    BITTERNESS.check("bitterness_mg_l", bitterness_mg_l)
    VOLUME_HL.check("volume_hl", volume_hl)
    MASS_KG.check("alpha_kg", alpha_kg)
    found = bitterness_mg_l * volume_hl / 10_000 / alpha_kg
    if found > 1:
        raise OutOfRange("bitterness_mg_l", bitterness_mg_l, f"{alpha_kg:g} kg alpha in {volume_hl:g} hL gives less.")
    return found


def own_utilisation(measured: Sequence[float]) -> Estimate:
    """Return what to expect of the next brew from those measured: three or more, of one beer and one brewhouse.

    The interval is that of one more brew, kept within 0 to 1. Raises OutOfRange.
    """
    expected = next_of(measured)
    return Estimate(expected.value, max(0.0, expected.low), min(1.0, expected.high))


def kinetic_utilisation(heated: Isomerised, survival: Estimate) -> Estimate:
    """Return the part used, from what the kettle isomerises and what part of that survives into the beer.

    Survival is the brewhouse's own: see measured_survival. Raises OutOfRange beyond 0 to 1.
    """
    for part in (survival.low, survival.high):
        SURVIVAL.check("survival", part)
    return survival.times(heated.iso)


def measured_survival(utilisation: float, heated: Isomerised) -> float:
    """Return which part of the iso-alpha acids of the kettle was found in the beer. Raises OutOfRange."""
    ISO.check("iso", heated.iso)
    SURVIVAL.check("survival", utilisation / heated.iso)
    return utilisation / heated.iso
