"""Brew sheets: the lines of one version, each part of it with the columns that it needs."""

from collections.abc import Callable, Mapping
from typing import Any

from brewery.kernel.tables.reading import Row
from brewery.production.queries.sheet_contents import (
    CellarLine,
    GrainLine,
    HopLine,
    IonTarget,
    MashLine,
    SaltLine,
    SheetContent,
)
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro, parts_if_given, parts_of
from brewery.production.services.records.problems import Misfit
from brewery.production.services.records.rows import Record
from brewery.production.services.sheets import carry_over_sheet
from brewery.science.units import BaseUnit
from inventory.models import Material

_MILLI, _PER_CENT, _GRAMS = 1_000, 10_000, 1_000

Read = Callable[[Row, Codes], Any]


def brew_sheet(record: Record, codes: Codes) -> Call:
    """The beer has its next version, in use since the moment of the record."""
    told = _figures(record, codes)
    for name, read in _LINES.items():
        told[name] = tuple(read(row, codes) for row in record.listed(name))
    content = {
        "beer": codes.material(record.rows[0], "beer"),
        "content": SheetContent(**told),
        "in_use_since": record.happened_at,
    }
    return Call(carry_over_sheet, content)


def _figures(record: Record, codes: Codes) -> dict[str, Any]:
    """Return what the lines of the part `figure` say. Raises Misfit for what is unknown, there twice, or missing."""
    told: dict[str, Any] = {}
    for row in record.rows:
        if row["part"] != "figure":
            continue
        field, read = _FIGURES.get(row["what"] or "", ("", None))
        if read is None:
            raise Misfit(row.line, "what", f"A figure is one of: {', '.join(_FIGURES)}.")
        if field in told:
            raise Misfit(row.line, "what", f"{row['what']} is on another line of this sheet already.")
        told[field] = read(row, codes)
    for what in _NEEDED:
        if _FIGURES[what][0] not in told:
            raise Misfit(record.line, "what", f"The figure {what} is missing on this sheet.")
    return told


def _given(row: Row, column: str) -> Any:
    if row[column] is None:
        raise Misfit(row.line, column, f"It is empty, and a line of the part {row['part']} needs it.")
    return row[column]


def _parts(of_one: int) -> Read:
    def read(row: Row, _: Codes) -> int:
        _given(row, "amount")
        return parts_of(row, "amount", of_one)

    return read


def _litres(row: Row, _: Codes) -> int:
    return micro(row, "amount", "unit", BaseUnit.L) if _given(row, "amount") else 0


def _material(row: Row, codes: Codes) -> Material:
    _given(row, "material")
    return codes.material(row, "material")


def _grain(row: Row, codes: Codes) -> GrainLine:
    if _given(row, "unit") == "%":
        return GrainLine(_material(row, codes), share_ppm=_parts(_PER_CENT)(row, codes))
    return GrainLine(_material(row, codes), weight_micro=_weight(row, BaseUnit.KG))


def _hop(row: Row, codes: Codes) -> HopLine:
    weight, alpha = (
        (None, _parts(_GRAMS)(row, codes)) if row["unit"] == "g alpha" else (_weight(row, BaseUnit.KG), None)
    )
    return HopLine(
        _material(row, codes),
        stage=_given(row, "what"),
        minutes=_given(row, "minutes"),
        temperature_milli_c=parts_if_given(row, "temperature_c", _MILLI),
        weight_micro=weight,
        alpha_micro=alpha,
    )


def _salt(row: Row, codes: Codes) -> SaltLine:
    material = _material(row, codes)
    return SaltLine(material, _given(row, "what"), _weight(row, material.base_unit))


def _weight(row: Row, base: str) -> int:
    _given(row, "amount")
    _given(row, "unit")
    return micro(row, "amount", "unit", base)


def _ion(row: Row, codes: Codes) -> IonTarget:
    return IonTarget(_given(row, "what"), _parts(_MILLI)(row, codes))


def _mash(row: Row, _: Codes) -> MashLine:
    _given(row, "temperature_c")
    return MashLine(
        vessel=_given(row, "vessel"),
        action=_given(row, "what"),
        temperature_milli_c=parts_of(row, "temperature_c", _MILLI),
        minutes=_given(row, "minutes"),
        share_ppm=parts_if_given(row, "amount", _PER_CENT),
    )


def _cellar(row: Row, _: Codes) -> CellarLine:
    _given(row, "temperature_c")
    return CellarLine(_given(row, "what"), parts_of(row, "temperature_c", _MILLI), _given(row, "days"))


_LINES: Mapping[str, Read] = {
    "grains": _grain,
    "hops": _hop,
    "salts": _salt,
    "ions": _ion,
    "mash_steps": _mash,
    "cellar_steps": _cellar,
    "formats": _material,
}
_FIGURES: Mapping[str, tuple[str, Read]] = {
    "cold_wort": ("cold_wort_micro", _litres),
    "original_gravity_p": ("original_gravity_milli_p", _parts(_MILLI)),
    "final_gravity_p": ("final_gravity_milli_p", _parts(_MILLI)),
    "yield_pct": ("yield_ppm", _parts(_PER_CENT)),
    "boil_minutes": ("boil_minutes", _parts(1)),
    "bitterness_bu": ("bitterness_milli_bu", _parts(_MILLI)),
    "colour_ebc": ("colour_milli_ebc", _parts(_MILLI)),
    "evaporation_pct": ("evaporation_ppm", _parts(_PER_CENT)),
    "liquor": ("liquor", _material),
    "mash_liquor": ("mash_liquor_micro", _litres),
    "sparge_liquor": ("sparge_liquor_micro", _litres),
    "yeast": ("yeast", _material),
    "pitch_cells": ("pitch_cells", _parts(1)),
    "kraeusen_pct": ("kraeusen_ppm", _parts(_PER_CENT)),
    "filtered": ("is_filtered", lambda row, _: _given(row, "words") == "yes"),
    "note": ("note", lambda row, _: _given(row, "words")),
}
"""By its name in the file: what the sheet calls a figure, and how its line is read."""

_NEEDED = ("cold_wort", "original_gravity_p", "final_gravity_p", "yield_pct", "boil_minutes")
