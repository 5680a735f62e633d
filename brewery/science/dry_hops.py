"""Dry hops: how much of a lot to put to cold beer, by weight or by the oil that it holds."""

from brewery.science.ranges import VOLUME_HL, Range

DOSE_G_L = Range(0, 40, "g/L", "Write grams in a litre of beer: 2 to 10 are usual.")
OIL_ML_HL = Range(0, 50, "mL/hL", "Write millilitres of hop oil in a hectolitre: about 2 is usual.")
OIL_ML_100_G = Range(0, 20, "mL/100 g", "Take the oil of the lot's certificate.", above_least=True)


def dry_hops_by_weight_kg(dose_g_l: float, volume_hl: float) -> float:
    """Return the hops in kg for so many grams in a litre of beer. Raises OutOfRange."""
    DOSE_G_L.check("dose_g_l", dose_g_l)
    VOLUME_HL.check("volume_hl", volume_hl)
    return dose_g_l * volume_hl / 10


def dry_hops_by_oil_kg(dose_ml_hl: float, volume_hl: float, oil_ml_100_g: float) -> float:
    """Return the hops in kg for so many millilitres of hop oil in a hectolitre of beer.

    For aroma the oil is the better measure than the weight (brewcraft.co.za, dry hopping). Raises OutOfRange.
    """
    OIL_ML_HL.check("dose_ml_hl", dose_ml_hl)
    VOLUME_HL.check("volume_hl", volume_hl)
    OIL_ML_100_G.check("oil_ml_100_g", oil_ml_100_g)
    return dose_ml_hl * volume_hl / (oil_ml_100_g * 10)
