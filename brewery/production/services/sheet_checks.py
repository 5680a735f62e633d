"""What no brew sheet can say: each fault names its field. What is only unusual is a warning elsewhere."""

from collections.abc import Callable, Collection, Iterable, Iterator
from typing import Any

from brewery.kernel.errors import DomainError, InvalidInput
from brewery.production.models import CellarStep, SheetHop, SheetIon, SheetSalt
from brewery.production.queries.sheet_contents import GrainLine, HopLine, SaltLine, SheetContent
from brewery.production.services.mash_checks import mash_faults
from brewery.production.services.sheet_refusals import SheetFaults
from inventory.models import Material
from inventory.services.checks import LARGEST_MICRO

WHOLE_PPM = 1_000_000
MOST_LINES = 100
LONGEST_NOTE = 4_000

_RANGES: dict[str, tuple[str, int, int, int, str]] = {
    "original_gravity_milli_p": ("original_gravity_p", 1, 25_000, 1_000, "°P"),
    "final_gravity_milli_p": ("final_gravity_p", 0, 25_000, 1_000, "°P"),
    "bitterness_milli_bu": ("bitterness_bu", 0, 200_000, 1_000, "BU"),
    "colour_milli_ebc": ("colour_ebc", 0, 2_000_000, 1_000, "EBC"),
    "yield_ppm": ("yield_pct", 1, WHOLE_PPM, 10_000, "%"),
    "evaporation_ppm": ("evaporation_pct", 0, 500_000, 10_000, "%"),
    "kraeusen_ppm": ("kraeusen_pct", 0, 500_000, 10_000, "%"),
    "boil_minutes": ("boil_minutes", 0, 600, 1, "minutes"),
    "pitch_cells": ("pitch_cells", 1_000, 100_000_000, 1, "cells in a mL for each °P"),
    "cold_wort_micro": ("cold_wort", 1, LARGEST_MICRO, 1_000_000, "L"),
    "mash_liquor_micro": ("mash_liquor", 1, LARGEST_MICRO, 1_000_000, "L"),
    "sparge_liquor_micro": ("sparge_liquor", 1, LARGEST_MICRO, 1_000_000, "L"),
}
"""By field of a sheet: what doors call it, the least and the most, and what of it makes one of the unit."""

_COLD_MINUTES = 60 * 24 * 60
_WHIRLPOOL_MINUTES = 240
_WHIRLPOOL_MILLI_C, _COLD_MILLI_C, _CELLAR_MILLI_C = (40_000, 100_000), (-5_000, 30_000), (-5_000, 45_000)
_MOST_DAYS = 1_000
_MOST_MILLI_MG = 20_000_000


def refuse_bad_content(content: SheetContent) -> None:
    """Raise InvalidInput, or SheetFaults with all of them, for what a sheet cannot say."""
    faults = list(_faults(content))
    if faults:
        raise faults[0] if len(faults) == 1 else SheetFaults(faults)


def _faults(content: SheetContent) -> Iterator[DomainError]:
    for name, (field, least, most, of_one, unit) in _RANGES.items():
        value = getattr(content, name)
        if value is not None and not least <= value <= most:
            yield _outside(field, value, least, most, of_one, unit)
    if content.final_gravity_milli_p >= content.original_gravity_milli_p:
        yield _fault("final_gravity_p", content.final_gravity_milli_p / 1_000, "It lies below the original gravity.")
    if len(content.note) > LONGEST_NOTE:
        yield _fault("note", content.note[:60], f"Write up to {LONGEST_NOTE} characters.")
    yield from _kind_faults("yeast", content.yeast, (Material.Kind.YEAST,))
    yield from _kind_faults("liquor", content.liquor, (Material.Kind.WATER,))
    for checked in (_format_faults, _grain_faults, _hop_faults, _salt_faults, _ion_faults, _cellar_faults):
        yield from checked(content)
    yield from mash_faults(content.mash_steps)


def _format_faults(content: SheetContent) -> Iterator[DomainError]:
    for index, material in enumerate(content.formats):
        yield from _kind_faults(f"formats[{index}]", material, (Material.Kind.PACKAGED,))
    yield from _twice("formats[{index}]", content.formats, lambda material: material.pk)


def _grain_faults(content: SheetContent) -> Iterator[DomainError]:
    grains = content.grains
    yield from _too_many("grains", grains)
    for index, grain in enumerate(grains):
        yield from _kind_faults(
            f"grains[{index}].material", grain.material, (Material.Kind.MALT, Material.Kind.ADJUNCT), in_kg=True
        )
        yield from _share_or_weight(f"grains[{index}]", grain)
    yield from _twice("grains[{index}].material", grains, lambda grain: grain.material.pk)
    if len({grain.share_ppm is None for grain in grains}) > 1:
        yield _fault("grains", "shares and weights", "Write all of the grain as shares, or all of it as weights.")
    elif grains and grains[0].share_ppm is not None:
        whole = sum(grain.share_ppm or 0 for grain in grains)
        if whole != WHOLE_PPM:
            yield _fault("grains", f"{whole / 10_000:.10g} %", "The shares add up to 100 % exactly.")


def _share_or_weight(field: str, grain: GrainLine) -> Iterator[DomainError]:
    if (grain.share_ppm is None) == (grain.weight_micro is None):
        yield _fault(field, "", "Give a share or a weight, one of the two.")
    elif grain.share_ppm is not None and not 0 < grain.share_ppm <= WHOLE_PPM:
        yield _fault(f"{field}.share_pct", grain.share_ppm / 10_000, "Give more than 0 and at most 100 %.")
    elif grain.weight_micro is not None:
        yield from _not_positive(f"{field}.weight", grain.weight_micro)


def _hop_faults(content: SheetContent) -> Iterator[DomainError]:
    yield from _too_many("hops", content.hops)
    for index, hop in enumerate(content.hops):
        field = f"hops[{index}]"
        yield from _kind_faults(f"{field}.material", hop.material, (Material.Kind.HOP,), in_kg=True)
        if (hop.weight_micro is None) == (hop.alpha_micro is None):
            yield _fault(field, "", "Give a weight or a weight of alpha acids, one of the two.")
        for name in ("weight", "alpha"):
            quantity = getattr(hop, f"{name}_micro")
            if quantity is not None:
                yield from _not_positive(f"{field}.{name}", quantity)
        if hop.stage not in SheetHop.Stage.values:
            yield _not_among(f"{field}.stage", hop.stage, SheetHop.Stage.values)
        else:
            yield from _hop_time_faults(field, hop, content.boil_minutes)


def _hop_time_faults(field: str, hop: HopLine, boil_minutes: int) -> Iterator[DomainError]:
    boils = hop.stage in (SheetHop.Stage.BOIL, SheetHop.Stage.FIRST_WORT)
    most = {SheetHop.Stage.WHIRLPOOL: _WHIRLPOOL_MINUTES, SheetHop.Stage.COLD: _COLD_MINUTES}.get(
        SheetHop.Stage(hop.stage), boil_minutes
    )
    if not 0 <= hop.minutes <= most:
        why = f"The boil takes {boil_minutes} minutes." if boils else f"Give at most {most} minutes."
        yield _fault(f"{field}.minutes", hop.minutes, why)
    if boils and hop.temperature_milli_c is not None:
        yield _fault(f"{field}.temperature_c", hop.temperature_milli_c / 1_000, "It boils: leave the temperature out.")
    if hop.stage == SheetHop.Stage.WHIRLPOOL and hop.temperature_milli_c is None:
        yield _fault(f"{field}.temperature_c", "", "Say how warm the whirlpool is: it decides how bitter it gets.")
    if not boils and hop.temperature_milli_c is not None:
        least, highest = _WHIRLPOOL_MILLI_C if hop.stage == SheetHop.Stage.WHIRLPOOL else _COLD_MILLI_C
        yield from _temperature_faults(field, hop.temperature_milli_c, least, highest)


def _salt_faults(content: SheetContent) -> Iterator[DomainError]:
    yield from _too_many("salts", content.salts)
    for index, salt in enumerate(content.salts):
        yield from _kind_faults(f"salts[{index}].material", salt.material, (Material.Kind.SALT,))
        yield from _not_positive(f"salts[{index}].quantity", salt.quantity_micro)
        if salt.into not in SheetSalt.Into.values:
            yield _not_among(f"salts[{index}].into", salt.into, SheetSalt.Into.values)

    def both(salt: SaltLine) -> Any:
        return salt.material.pk, salt.into

    yield from _twice("salts[{index}].material", content.salts, both)


def _ion_faults(content: SheetContent) -> Iterator[DomainError]:
    for index, target in enumerate(content.ions):
        if target.ion not in SheetIon.Ion.values:
            yield _not_among(f"ions[{index}].ion", target.ion, SheetIon.Ion.values)
        if not 0 <= target.milli_mg_per_l <= _MOST_MILLI_MG:
            yield _outside(f"ions[{index}].mg_per_l", target.milli_mg_per_l, 0, _MOST_MILLI_MG, 1_000, "mg/L")
    yield from _twice("ions[{index}].ion", content.ions, lambda target: target.ion)


def _cellar_faults(content: SheetContent) -> Iterator[DomainError]:
    yield from _too_many("cellar_steps", content.cellar_steps)
    for index, step in enumerate(content.cellar_steps):
        field = f"cellar_steps[{index}]"
        if step.phase not in CellarStep.Phase.values:
            yield _not_among(f"{field}.phase", step.phase, CellarStep.Phase.values)
        yield from _temperature_faults(field, step.temperature_milli_c, *_CELLAR_MILLI_C)
        if not 1 <= step.days <= _MOST_DAYS:
            yield _outside(f"{field}.days", step.days, 1, _MOST_DAYS, 1, "days")


def _temperature_faults(field: str, milli_c: int, least: int, most: int) -> Iterator[DomainError]:
    if not least <= milli_c <= most:
        yield _outside(f"{field}.temperature_c", milli_c, least, most, 1_000, "°C")


def _kind_faults(
    field: str, material: Material | None, kinds: Collection[str], *, in_kg: bool = False
) -> Iterator[DomainError]:
    if material is None:
        return
    if material.kind not in kinds:
        wanted = " or ".join(Material.Kind(kind).label for kind in kinds)
        yield _fault(field, material.code, f"This is {material.get_kind_display()}; it takes {wanted}.")
    elif in_kg and material.base_unit != Material.BaseUnit.KG:
        yield _fault(field, material.code, "A sheet weighs it in kg; this material is counted otherwise.")


def _not_positive(field: str, quantity_micro: int) -> Iterator[DomainError]:
    if not 0 < quantity_micro < LARGEST_MICRO:
        yield _fault(field, quantity_micro / 1_000_000, "Give a quantity above zero, in real amounts.")


def _too_many(field: str, lines: Collection[object]) -> Iterator[DomainError]:
    if len(lines) > MOST_LINES:
        yield _fault(field, len(lines), f"A sheet has at most {MOST_LINES} of these lines.")


def _twice(field: str, lines: Iterable[Any], key: Callable[[Any], Any]) -> Iterator[DomainError]:
    seen = set()
    for index, line in enumerate(lines):
        if key(line) in seen:
            yield _fault(field.format(index=index), "", "It stands on the sheet already: put both on one line.")
        seen.add(key(line))


def _outside(field: str, value: int, least: int, most: int, of_one: int, unit: str) -> InvalidInput:
    if most == LARGEST_MICRO:
        return _fault(field, value / of_one, "Give a quantity above zero, in real amounts.")
    return _fault(field, value / of_one, f"Give {least / of_one:g} to {most / of_one:g} {unit}.")


def _not_among(field: str, value: str, known: Iterable[str]) -> InvalidInput:
    return _fault(field, value, f"Choose one of: {', '.join(known)}.")


def _fault(field: str, value: float | str, problem: str) -> InvalidInput:
    return InvalidInput(field=field, value=f"{value:.10g}" if isinstance(value, float) else value, problem=problem)
