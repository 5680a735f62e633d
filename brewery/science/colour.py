"""Colour: of beer by its absorbance, on the American and the European scale, and of a grist's beer to come."""

from collections.abc import Iterable
from dataclasses import dataclass

from brewery.science.ranges import ABSORBANCE, ANY_MASS_KG, VOLUME_HL, Range
from brewery.science.units import UNITS

DILUTION = Range(1, 1000, "", "Write how many times the sample was thinned: 1 for none.")
COLOUR = Range(0, 2000, "", "Black malt has about 1500 EBC; look up the certificate.")
EBC_PER_SRM = 1.97
"""25 / 12.7, as it is quoted. The relation 2.65 SRM - 1.2 is of before the 1980s and of another method."""

MOREY_MOST_SRM = 50
_LB_PER_GAL = float(UNITS["US gal"].factor / UNITS["lb"].factor / UNITS["hL"].factor)


@dataclass(frozen=True, slots=True)
class PredictedColour:
    """The colour of a beer to come in EBC, and whether it is darker than the equation was fitted for."""

    ebc: float
    is_extrapolated: bool


def srm(a430: float, dilution: float = 1) -> float:
    """Return the colour on the American scale: 12.7 · A430 · dilution, cell of 1 cm, bright beer. Raises OutOfRange."""
    ABSORBANCE.check("a430", a430)
    DILUTION.check("dilution", dilution)
    return 12.7 * a430 * dilution


def ebc(a430: float, dilution: float = 1) -> float:
    """Return the colour on the European scale: 25 · A430 · dilution, cell of 1 cm, bright beer. Raises OutOfRange."""
    ABSORBANCE.check("a430", a430)
    DILUTION.check("dilution", dilution)
    return 25 * a430 * dilution


def ebc_from_srm(colour_srm: float) -> float:
    """Return EBC of SRM. Raises OutOfRange."""
    COLOUR.check("colour_srm", colour_srm)
    return EBC_PER_SRM * colour_srm


def srm_from_ebc(colour_ebc: float) -> float:
    """Return SRM of EBC. Raises OutOfRange."""
    COLOUR.check("colour_ebc", colour_ebc)
    return colour_ebc / EBC_PER_SRM


def lovibond_from_ebc(malt_ebc: float) -> float:
    """Return degrees Lovibond of a malt from the EBC of its wort: SRM = 1.3546 °L - 0.76 (maltbroue.com).

    The two scales part in dark malts. Raises OutOfRange.
    """
    return (srm_from_ebc(malt_ebc) + 0.76) / 1.3546


def predicted_colour(grist: Iterable[tuple[float, float]], cold_hl: float) -> PredictedColour:
    """Return the colour to expect of a grist, each malt as its weight in kg and its colour in EBC.

    SRM = 1.4922 · MCU^0.6859, MCU in lb · °L by US gallon, below 50 SRM: Morey, Brewing Techniques, Beer's Law. Boil,
    oxygen and fermentation move it by more than the third figure. Raises OutOfRange.
    """
    VOLUME_HL.check("cold_hl", cold_hl)
    pigment = 0.0
    for mass_kg, malt_ebc in grist:
        ANY_MASS_KG.check("mass_kg", mass_kg)
        pigment += mass_kg * lovibond_from_ebc(malt_ebc)
    colour_srm = 1.4922 * (pigment / cold_hl * _LB_PER_GAL) ** 0.6859
    return PredictedColour(EBC_PER_SRM * colour_srm, colour_srm >= MOREY_MOST_SRM)
