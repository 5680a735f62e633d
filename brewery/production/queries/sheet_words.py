"""What a brew sheet says, in words: for a comparison, a page and a print."""

from collections.abc import Callable
from typing import Any

from brewery.production.models import CellarStep, MashStep, SheetHop, SheetIon, SheetSalt
from brewery.production.queries.sheet_contents import (
    CellarLine,
    GrainLine,
    HopLine,
    IonTarget,
    MashLine,
    SaltLine,
)
from brewery.science.units import format_micro

LABELS = {
    "cold_wort_micro": "Cold wort",
    "original_gravity_milli_p": "Original gravity",
    "final_gravity_milli_p": "Final gravity",
    "bitterness_milli_bu": "Bitterness",
    "colour_milli_ebc": "Colour",
    "yield_ppm": "Yield of the brewhouse",
    "boil_minutes": "Boil",
    "evaporation_ppm": "Evaporation",
    "liquor": "Water",
    "mash_liquor_micro": "Mash liquor",
    "sparge_liquor_micro": "Sparge liquor",
    "yeast": "Yeast",
    "pitch_cells": "Pitching rate",
    "kraeusen_ppm": "Kraeusen in the blend",
    "is_filtered": "Filtered",
    "note": "Note",
}

_MILLI, _PPM_PER_PCT, _MINUTES_PER_DAY = 1_000, 10_000, 1_440


def said(name: str, value: Any) -> str:
    """Return what a sheet says once, in words; nothing where it does not say it."""
    if value is None or value == "":
        return ""
    suffixes: tuple[tuple[str, Callable[[Any], str]], ...] = (
        ("_micro", volume),
        ("_milli_p", lambda milli: f"{_thousandth(milli)} °P"),
        ("_milli_bu", lambda milli: f"{_thousandth(milli)} BU"),
        ("_milli_ebc", lambda milli: f"{_thousandth(milli)} EBC"),
        ("_ppm", per_cent),
        ("_minutes", lambda minutes: f"{minutes} min"),
        ("pitch_cells", lambda cells: f"{format_micro(cells, 'each')} million cells for each mL and °P"),
        ("is_filtered", lambda is_filtered: "yes" if is_filtered else "no"),
    )
    return next((words(value) for suffix, words in suffixes if name.endswith(suffix)), str(value))


def headline(line: Any) -> str:
    """Return what a line is about: two lines with the same headline say more or less of the same thing."""
    if isinstance(line, GrainLine):
        return str(line.material)
    if isinstance(line, HopLine):
        return f"{line.material}, {SheetHop.Stage(line.stage).label}"
    if isinstance(line, SaltLine):
        return f"{line.material}, {SheetSalt.Into(line.into).label}"
    if isinstance(line, IonTarget):
        return SheetIon.Ion(line.ion).label
    if isinstance(line, MashLine):
        return MashStep.Action(line.action).label
    return CellarStep.Phase(line.phase).label


def words_of(line: Any) -> str:
    """Return all that a line says but its headline."""
    if isinstance(line, GrainLine):
        return per_cent(line.share_ppm) if line.share_ppm is not None else weight(line.weight_micro or 0)
    if isinstance(line, HopLine):
        dose = weight(line.weight_micro) if line.weight_micro is not None else f"{weight(line.alpha_micro or 0)} alpha"
        return f"{dose}, {timing(line)}"
    if isinstance(line, SaltLine):
        return f"{format_micro(line.quantity_micro, line.material.base_unit)} {line.material.base_unit}"
    if isinstance(line, IonTarget):
        return f"{_thousandth(line.milli_mg_per_l)} mg/L"
    if isinstance(line, MashLine):
        part = f"{per_cent(line.share_ppm)} of the mash, " if line.share_ppm is not None else ""
        vessel = MashStep.Vessel(line.vessel).label
        return f"{part}{celsius(line.temperature_milli_c)}, {line.minutes} min, {vessel}"
    return _cellar_words(line)


def weight(micro: int) -> str:
    """Return a weight in kg, or in g below one kilogram."""
    return f"{format_micro(micro, 'kg')} kg" if micro >= 1_000_000 else f"{format_micro(micro, 'g')} g"


def to_weigh(micro: int) -> str:
    """Return a weight as a scale in the brewhouse shows it, to the gram."""
    return f"{format_micro(micro, 'kg', 3)} kg"


def volume(micro: int) -> str:
    """Return a volume in hL."""
    return f"{format_micro(micro, 'hL')} hL"


def per_cent(ppm: int) -> str:
    """Return millionths as per cent."""
    return f"{format_micro(ppm * 100, 'each')} %"


def celsius(milli_c: int | None) -> str:
    """Return a temperature, where there is one."""
    return "" if milli_c is None else f"{_thousandth(milli_c)} °C"


def timing(line: HopLine) -> str:
    """Return how long hops are in, and how warm it is there where that is said."""
    warmth = celsius(line.temperature_milli_c)
    return f"{duration(line.minutes)}, {warmth}" if warmth else duration(line.minutes)


def share(line: GrainLine) -> str:
    """Return the share of a grain, where the sheet says one."""
    return "" if line.share_ppm is None else per_cent(line.share_ppm)


def duration(minutes: int) -> str:
    """Return minutes, as days where they are whole days."""
    if minutes and minutes % _MINUTES_PER_DAY == 0:
        return f"{minutes // _MINUTES_PER_DAY} d"
    return f"{minutes} min"


def _thousandth(milli: int) -> str:
    return format_micro(milli * _MILLI, "each")


def _cellar_words(line: CellarLine) -> str:
    return f"{celsius(line.temperature_milli_c)}, {line.days} d"
