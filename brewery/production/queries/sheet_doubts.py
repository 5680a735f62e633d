"""What is unusual on a sheet, in sentences: warnings that stand beside what it says, and never refuse it."""

from collections.abc import Iterator
from dataclasses import dataclass

from brewery.production.models import CellarStep, MashStep, SheetHop
from brewery.production.queries.sheet_contents import MashLine, SheetContent
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_predictions import usual_extract
from brewery.production.queries.sheet_scaling import grain_micro, grist_micro
from brewery.production.queries.sheet_stock import SheetStock
from brewery.science import process
from brewery.science.bands import Band
from brewery.science.brew_readings import Target, bitterness_target, colour_target, gravity_target
from brewery.science.kraeusen import USUAL_SHARE
from brewery.science.liquor import USUAL_IONS
from brewery.science.malt import BASE_MALT_SHARE
from brewery.science.salts import Ion
from brewery.science.units import MICRO
from inventory.models import Material

_MILLI, _PPM_PER_PCT = 1_000, 10_000
BASE_MALT_MOST_EBC = 30
"""A malt whose wort is no darker than this counts as base malt, as pale and Munich malts do (common practice)."""

PITCHING_RATE = Band(
    "A pitching rate",
    0.75,
    2,
    "million cells for each mL and °P",
    "Fix, as quoted; to 2 for lagers, bkyeast.wordpress.com",
)
ION_ROOM_PART, ION_ROOM_MG_L = 0.15, 10
"""How far an ion may lie from what is wanted, whichever is more (common practice, no source)."""

MIXING_ROOM_C = 6
"""How far the mash may be from what the mixing of its two parts gives: tuns and pipes take some of the warmth."""

_RESTS = (
    (process.PROTEIN_REST_C, process.PROTEIN_REST_MIN),
    (process.MALTOSE_REST_C, process.MALTOSE_REST_MIN),
    (process.SACCHARIFICATION_C, process.SACCHARIFICATION_MIN),
)
_TARGETS = {"original_gravity": gravity_target, "bitterness": bitterness_target, "colour": colour_target}


@dataclass(frozen=True)
class Doubt:
    """One warning, and the part of the sheet that it is about."""

    field: str
    words: str


def doubts_of(content: SheetContent, stock: SheetStock, predictions: list[Prediction]) -> list[Doubt]:
    """Return what is unusual, in the order of the sheet."""
    told = [
        *_base_malt(content, stock),
        *_efficiency(content, stock),
        *_missed(predictions),
        *_ions(content),
        *_single(content),
        *_mash(content.mash_steps),
        *_hops(content),
        *_cellar(content),
    ]
    return [doubt for doubt in told if doubt.words]


def _base_malt(content: SheetContent, stock: SheetStock) -> Iterator[Doubt]:
    if not content.grains:
        return
    base = unknown = 0
    for grain, weight in zip(content.grains, grain_micro(content), strict=True):
        colour = stock.figure(grain.material, "colour", weight)
        if grain.material.kind == Material.Kind.MALT and colour is None:
            unknown += weight
        elif grain.material.kind == Material.Kind.MALT and colour and colour.value <= BASE_MALT_MOST_EBC:
            base += weight
    least, most = (100 * part / grist_micro(content) for part in (base, base + unknown))
    if most < BASE_MALT_SHARE.least or least == most:
        yield Doubt("grains", BASE_MALT_SHARE.doubt(round(most, 2)))


def _efficiency(content: SheetContent, stock: SheetStock) -> Iterator[Doubt]:
    both = usual_extract(content, stock) if content.grains else None
    if both and content.yield_ppm / _PPM_PER_PCT > both[1]:
        words = f"A yield of {content.yield_ppm / _PPM_PER_PCT:g} % is more than the grain holds, {both[1]:.2f} %."
        yield Doubt("yield_pct", f"{words} Look again.")


def _missed(predictions: list[Prediction]) -> Iterator[Doubt]:
    for told in predictions:
        if told.value is None or told.target is None:
            continue
        room = _target(told)
        if room.is_missed_by(told.value):
            expected, wanted = f"{told.value:.4g} {told.unit}", f"{told.target:g} {told.unit}"
            words = f"{told.label} of {expected} is expected; the sheet wants {wanted}."
            yield Doubt("ions" if told.key.startswith("ion_") else told.key, words)


def _target(told: Prediction) -> Target:
    wanted = told.target or 0
    if told.key in _TARGETS:
        return _TARGETS[told.key](wanted)
    return Target(wanted, max(ION_ROOM_MG_L, ION_ROOM_PART * wanted))


def _ions(content: SheetContent) -> Iterator[Doubt]:
    for target in content.ions:
        yield Doubt("ions", USUAL_IONS[Ion(target.ion)].doubt(target.milli_mg_per_l / _MILLI))


def _single(content: SheetContent) -> Iterator[Doubt]:
    original, final = content.original_gravity_milli_p / _MILLI, content.final_gravity_milli_p / _MILLI
    apparent = round(100 * (original - final) / original, 1)
    yield Doubt("final_gravity_p", process.APPARENT_ATTENUATION_PCT.doubt(apparent))
    yield Doubt("yield_pct", process.BREWHOUSE_YIELD_PCT.doubt(content.yield_ppm / _PPM_PER_PCT))
    yield Doubt("boil_minutes", process.BOIL_MIN.doubt(content.boil_minutes))
    yield Doubt("evaporation_pct", process.EVAPORATION_PCT.doubt(content.evaporation_ppm / _PPM_PER_PCT))
    if content.pitch_cells is not None:
        yield Doubt("pitch_cells", PITCHING_RATE.doubt(content.pitch_cells / MICRO))
    if content.kraeusen_ppm:
        of_green_beer = 100 * content.kraeusen_ppm / (MICRO - content.kraeusen_ppm)
        yield Doubt("kraeusen_pct", USUAL_SHARE.doubt(round(of_green_beer, 2)))


def _mash(steps: tuple[MashLine, ...]) -> Iterator[Doubt]:
    whole_c: float | None = None
    part: tuple[float, float] | None = None
    for index, step in enumerate(steps):
        field, celsius = f"mash_steps[{index}]", step.temperature_milli_c / _MILLI
        if step.action == MashStep.Action.DRAW_OFF:
            part = (step.share_ppm or 0) / MICRO, celsius
        elif step.action == MashStep.Action.PUT_BACK and part and whole_c is not None:
            yield Doubt(field, _mixing_doubt(part, whole_c, celsius))
            part, whole_c = None, celsius
        elif part:
            part = part[0], celsius
            if step.action == MashStep.Action.BOIL:
                yield Doubt(field, process.DECOCTION_BOIL_MIN.doubt(step.minutes))
        else:
            whole_c = celsius
            yield from _whole_mash(field, step, celsius)


def _mixing_doubt(part: tuple[float, float], whole_c: float, wanted_c: float) -> str:
    """Return why the mash will not be so warm, by the mixing of two parts of one stuff (physics)."""
    mixed = part[0] * part[1] + (1 - part[0]) * whole_c
    if abs(mixed - wanted_c) <= MIXING_ROOM_C:
        return ""
    return (
        f"{part[0]:.0%} of the mash at {part[1]:g} °C put to the rest at {whole_c:g} °C gives about {mixed:.0f} °C; "
        f"the sheet says {wanted_c:g} °C. Draw off another part, or correct the temperature."
    )


def _whole_mash(field: str, step: MashLine, celsius: float) -> Iterator[Doubt]:
    if step.action == MashStep.Action.MASH_OUT:
        yield Doubt(field, process.MASH_OFF_C.doubt(celsius))
    if step.action == MashStep.Action.REST:
        yield Doubt(field, process.MASH_REST_C.doubt(celsius))
        for band, minutes in _RESTS:
            if not band.doubt(celsius):
                yield Doubt(field, minutes.doubt(step.minutes))


def _hops(content: SheetContent) -> Iterator[Doubt]:
    for index, hop in enumerate(content.hops):
        if hop.stage == SheetHop.Stage.WHIRLPOOL:
            yield Doubt(f"hops[{index}]", process.WHIRLPOOL_MIN.doubt(hop.minutes))


def _cellar(content: SheetContent) -> Iterator[Doubt]:
    for index, step in enumerate(content.cellar_steps):
        celsius = step.temperature_milli_c / _MILLI
        if step.phase == CellarStep.Phase.FERMENTATION:
            yield Doubt(f"cellar_steps[{index}]", process.PITCHING_C.doubt(celsius))
        if step.phase == CellarStep.Phase.MATURATION:
            yield Doubt(f"cellar_steps[{index}]", process.LAGERING_C.doubt(celsius))
