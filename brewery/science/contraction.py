"""Contraction: how dense water is, and how much smaller cold wort is than hot."""

from brewery.science.ranges import VOLUME_HL, Range

WATER_20_KG_L = 0.998203
"""The density of water at 20 °C in kg/L, to which specific gravities 20/20 refer."""

WORT_CONTRACTION_PCT = 4.0
"""Of boiling wort, hops in it included: German excise instruction, Zentralblatt für das Deutsche Reich 46 (1918) 1011.

Pfenninger and Schur found 2.3 to 3.7 % (biersekte.de). At other temperatures take that of water.
"""

WATER_C = Range(0, 100, "°C", "Water is liquid from 0 to 100 °C.")
CONTRACTION_PCT = Range(0, 10, "%", "Boiling wort shrinks by about 4 %.")


def water_density_kg_m3(temperature_c: float) -> float:
    """Return the density of water at 1 atm, 0 to 100 °C, in kg/m³. Source: Kell, 1975. Raises OutOfRange."""
    WATER_C.check("temperature_c", temperature_c)
    t = temperature_c
    top = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 + t * -280.54253e-12)))
    )
    return top / (1 + 16.879850e-3 * t)


def water_contraction_pct(from_c: float, to_c: float = 20) -> float:
    """Return by how many % of its volume water shrinks from one temperature to another; negative where it grows.

    Raises OutOfRange.
    """
    return 100 * (1 - water_density_kg_m3(from_c) / water_density_kg_m3(to_c))


def cold_volume_hl(hot_hl: float, contraction_pct: float = WORT_CONTRACTION_PCT) -> float:
    """Return the volume at 20 °C of wort measured hot. Keep the contraction with it. Raises OutOfRange."""
    VOLUME_HL.check("hot_hl", hot_hl)
    CONTRACTION_PCT.check("contraction_pct", contraction_pct)
    return hot_hl * (1 - contraction_pct / 100)


def hot_volume_hl(cold_hl: float, contraction_pct: float = WORT_CONTRACTION_PCT) -> float:
    """Return the volume to cast out hot for a volume at 20 °C. Raises OutOfRange."""
    VOLUME_HL.check("cold_hl", cold_hl)
    CONTRACTION_PCT.check("contraction_pct", contraction_pct)
    return cold_hl / (1 - contraction_pct / 100)
