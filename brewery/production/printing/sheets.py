"""The brew sheet on paper: what to weigh and do, in large print, with room to write beside it with wet hands."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from brewery.kernel.documents import compiled
from brewery.production.models import LogEntry
from brewery.production.queries.sheet_contents import SheetContent
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_view import SheetView
from brewery.production.queries.sheet_words import (
    LABELS,
    celsius,
    duration,
    headline,
    per_cent,
    said,
    share,
    timing,
    to_weigh,
    words_of,
)
from brewery.science.brew_readings import READINGS

TEMPLATE = Path(__file__).with_name("sheet.typ")
SCREEN_DPI = 60.0

HEAD = (
    "cold_wort_micro",
    "original_gravity_milli_p",
    "final_gravity_milli_p",
    "bitterness_milli_bu",
    "colour_milli_ebc",
    "boil_minutes",
    "evaporation_ppm",
    "liquor",
    "mash_liquor_micro",
    "sparge_liquor_micro",
    "yeast",
    "pitch_cells",
    "kraeusen_ppm",
    "is_filtered",
)
_READINGS = (
    (LogEntry.Step.FIRST_WORT, "gravity"),
    (LogEntry.Step.LAST_RUNNINGS, "gravity"),
    (LogEntry.Step.KETTLE_FULL, "volume"),
    (LogEntry.Step.KETTLE_FULL, "gravity"),
    (LogEntry.Step.CAST_OUT, "volume"),
    (LogEntry.Step.KNOCK_OUT, "gravity"),
    (LogEntry.Step.KNOCK_OUT, "ph"),
    (LogEntry.Step.PITCHED, "temperature"),
)
"""What is read on every brew day, and has its box."""


def sheet_as_pdf(view: SheetView) -> bytes:
    """Return the sheet as a PDF of A4 pages. The same view gives the same bytes."""
    (document,) = compiled(TEMPLATE, data_of(view))
    return document


def sheet_as_png(view: SheetView) -> list[bytes]:
    """Return the same pages as pictures."""
    return compiled(TEMPLATE, data_of(view), "png", SCREEN_DPI)


def data_of(view: SheetView) -> dict[str, Any]:
    """Return all the words of the sheet, ready to be set."""
    content = view.content
    return {
        "title": f"{view.sheet.beer.name}, version {view.sheet.version}",
        "state": view.sheet.get_state_display(),
        "day": view.day.isoformat(),
        "head": [[LABELS[name], words] for name in HEAD if (words := said(name, getattr(content, name)))],
        "formats": ", ".join(str(one) for one in content.formats),
        "grains": _grains(view),
        "salts": [[headline(salt), words_of(salt)] for salt in content.salts],
        "ions": [[headline(ion), words_of(ion)] for ion in content.ions],
        "mash": _mash(content),
        "hops": _hops(view),
        "cellar": [[headline(step), words_of(step)] for step in content.cellar_steps],
        "readings": [_reading(step.label, key) for step, key in _READINGS],
        "figures": [[told.label, figure_words(told), told.reason] for told in view.predictions],
        "doubts": [doubt.words for doubt in view.doubts],
        "note": content.note,
    }


def figure_words(told: Prediction) -> str:
    """Return a figure as people read it, with its interval where it has one."""
    if told.value is None:
        return "not known"
    between = "" if told.low is None or told.high is None else f" ({told.low:.3g} to {told.high:.3g})"
    return f"{told.value:.4g} {told.unit}{between}"


def _grains(view: SheetView) -> list[list[str]]:
    return [
        [
            str(grain.line.material),
            share(grain.line),
            to_weigh(grain.weight_micro),
        ]
        for grain in view.grains
    ]


def _mash(content: SheetContent) -> Iterable[list[str]]:
    return [
        [
            f"{headline(step)}{f' {per_cent(step.share_ppm)}' if step.share_ppm is not None else ''}",
            celsius(step.temperature_milli_c),
            duration(step.minutes),
        ]
        for step in content.mash_steps
    ]


def _hops(view: SheetView) -> list[list[str]]:
    return [
        [
            headline(dose.line),
            timing(dose.line),
            "by alpha" if dose.weight_micro is None else to_weigh(dose.weight_micro),
            dose.reason,
        ]
        for dose in view.doses
    ]


def _reading(step: str, key: str) -> str:
    measured = READINGS[key]
    return f"{step.capitalize()}, {measured.label} {measured.unit}".strip()
