"""Gravity: extract in °Plato (% by weight), specific gravity 20/20 °C, and kilograms in a hectolitre at 20 °C.

The polynomial is a fit to the ASBC table (liquisearch.com, Brix tables), good from 0 to 20 °P and used to 25. Below
water (apparent extract of beer fermented far) it is carried on.
"""

from brewery.science.contraction import WATER_20_KG_L
from brewery.science.ranges import ANY_MASS_KG, VOLUME_HL, Range

PLATO = Range(-3, 25, "°P", "The table of extract ends at 25 °P; dilute, measure and multiply.")
EXTRACT_PLATO = Range(0, 25, "°P", "The table of extract ends at 25 °P; dilute, measure and multiply.")
SPECIFIC_GRAVITY = Range(0.9884, 1.106, "", "Write specific gravity such as 1.048, not °Plato or gravity points.")
_CLOSE_ENOUGH_PLATO = 1e-9


def _table_plato(sg: float) -> float:
    return ((135.997 * sg - 630.272) * sg + 1111.14) * sg - 616.868


def plato(specific_gravity: float) -> float:
    """Return °Plato of a specific gravity 20/20, 0.9884 to 1.106; water itself is 0. Raises OutOfRange."""
    SPECIFIC_GRAVITY.check("specific_gravity", specific_gravity)
    extract = _table_plato(specific_gravity)
    return extract if specific_gravity < 1 else max(0.0, extract)


def specific_gravity(extract_plato: float) -> float:
    """Return the specific gravity 20/20 of -3 to 25 °P: where the table gives it back. Raises OutOfRange."""
    PLATO.check("extract_plato", extract_plato)
    if not extract_plato:
        return 1.0
    sg = 1 + extract_plato / (258.6 - 0.87955 * extract_plato)
    while abs(over := _table_plato(sg) - extract_plato) > _CLOSE_ENOUGH_PLATO:
        sg -= over / ((407.991 * sg - 1260.544) * sg + 1111.14)
    return sg


def wort_density_kg_l(extract_plato: float) -> float:
    """Return the density at 20 °C in kg/L. Raises OutOfRange."""
    return specific_gravity(extract_plato) * WATER_20_KG_L


def extract_kg_per_hl(extract_plato: float) -> float:
    """Return the kilograms of extract in a hectolitre of wort at 20 °C, 0 to 25 °P. Raises OutOfRange."""
    EXTRACT_PLATO.check("extract_plato", extract_plato)
    return extract_plato * wort_density_kg_l(extract_plato)


def extract_kg(volume_hl: float, extract_plato: float) -> float:
    """Return the kilograms of extract in a volume at 20 °C. Raises OutOfRange."""
    VOLUME_HL.check("volume_hl", volume_hl)
    return volume_hl * extract_kg_per_hl(extract_plato)


def plato_of_extract(mass_kg: float, volume_hl: float) -> float:
    """Return the °Plato of a volume at 20 °C that holds so many kilograms of extract. Raises OutOfRange.

    The inverse of extract_kg, to a millionth of a degree and better.
    """
    ANY_MASS_KG.check("mass_kg", mass_kg)
    VOLUME_HL.check("volume_hl", volume_hl)
    KG_PER_HL.check("mass_kg / volume_hl", mass_kg / volume_hl)
    low, high = EXTRACT_PLATO.least, EXTRACT_PLATO.most
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if extract_kg(volume_hl, middle) < mass_kg else (low, middle)
    return (low + high) / 2


KG_PER_HL = Range(0, extract_kg_per_hl(25), "kg/hL", "That is more than 25 °P: look up the weights and the volume.")
