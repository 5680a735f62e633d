"""Carbonation: carbon dioxide in beer, in volumes and in grams.

Carbon dioxide fills cellars and kills, and pressure bursts vessels: follow the site's rules.
"""

from brewery.science.ranges import Range

GRAMS_PER_VOLUME = 44.0095 / 22.414
"""g/L of one volume, gas at 0 °C and 1 atm: molar mass by molar volume; 1.96 as in knowledge-builders.org."""

VOLUMES = Range(0, 8, "volumes", "Packaged beer holds 2 to 3 volumes; look up whether g/L was written.")
CO2_G_L = Range(0, 16, "g/L", "Packaged beer holds 4 to 6 g/L; look up the reading.")


def co2_g_l(volumes: float) -> float:
    """Return the carbon dioxide in g/L of so many volumes. Raises OutOfRange."""
    VOLUMES.check("volumes", volumes)
    return volumes * GRAMS_PER_VOLUME


def co2_volumes(co2_in_g_l: float) -> float:
    """Return the volumes of carbon dioxide of so many g/L. Raises OutOfRange."""
    CO2_G_L.check("co2_in_g_l", co2_in_g_l)
    return co2_in_g_l / GRAMS_PER_VOLUME
