"""Duty: what is owed on beer that leaves the brewery, exactly, from plain movements. A worksheet, not a filing.

`movements` is what goes in, `rates` are dated rows, `schemes` is what a country must say of itself, `known` lists the
countries. Nothing here is a float, and every rounding is named.
"""

from brewery.science.duty.european import (
    EU_LEAST_PER_HL_ALCOHOL_PCT,
    EU_LEAST_PER_HL_PLATO,
    duty_by_plato,
    duty_by_strength,
)

__all__ = ["EU_LEAST_PER_HL_ALCOHOL_PCT", "EU_LEAST_PER_HL_PLATO", "duty_by_plato", "duty_by_strength"]
