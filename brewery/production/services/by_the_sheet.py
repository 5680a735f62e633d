"""By the sheet: what is drawn for a brew is what its sheet asks for, within a tolerance, or somebody says why not."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from brewery.kernel.errors import InvalidInput
from brewery.production.models import Brew, Substitution
from brewery.production.queries.drawn import drawn_for
from brewery.production.queries.pick_lists import PickLine, drawn_lines
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.queries.wanted import wanted_by
from brewery.production.services.draw_refusals import (
    LessThanTheSheetAsks,
    MoreThanTheSheetAsks,
    NotOnTheSheet,
    StandsInForNothing,
)
from brewery.science.units import format_micro
from inventory.models import Event, Lot, Material
from inventory.services.refusals import ReasonMissing
from inventory.services.stock import Part

TOLERANCE_PPM = 20_000
"""2 % (common practice, no source)."""

KEPT_TO = (Material.Kind.MALT, Material.Kind.ADJUNCT, Material.Kind.HOP, Material.Kind.SALT)
"""What a sheet says of these is all; of the rest (finings, yeast, water) it need not speak."""

_MILLION = 1_000_000
_MOST = _MILLION + TOLERANCE_PPM
_LEAST = _MILLION - TOLERANCE_PPM


@dataclass(frozen=True)
class StandIn:
    """A lot that is drawn in place of what the sheet asks for, and why."""

    wanted: Material
    lot: Lot
    reason: str


@dataclass(frozen=True)
class _Sum:
    """What all lines of one material ask for and have, as they count it: weight, or alpha acids."""

    line: PickLine
    asked: int
    brought: int

    @property
    def off_pct(self) -> str:
        return f"{abs(100 * (self.brought / self.asked - 1)):.3g}"

    def shown(self, micro: int) -> str:
        """Return an amount of it for people."""
        if self.line.wanted.alpha_micro is not None:
            return f"{format_micro(micro, 'g', 1)} g of alpha acids"
        unit = self.line.wanted.material.base_unit
        return f"{format_micro(micro, unit)} {unit}"


def write_stand_ins(brew: Brew, event: Event, parts: Sequence[Part], stands_in: Sequence[StandIn]) -> None:
    """Each lot that stands in for something is on record with its reason.

    Raises ReasonMissing, StandsInForNothing, and InvalidInput for a lot that stands in twice.
    """
    drawn, lots = {part.lot.pk for part in parts}, [one.lot.pk for one in stands_in]
    for one in stands_in:
        if lots.count(one.lot.pk) > 1:
            raise InvalidInput(field="stands_in", value=one.lot.code, problem="A lot stands in for one material.")
        if not one.reason.strip():
            raise ReasonMissing(what="A substitution", field="stands_in")
        if one.lot.pk not in drawn or one.wanted.pk == one.lot.material_id:
            raise StandsInForNothing(wanted=one.wanted.name, lot=one.lot.code, brew=brew.code, field="stands_in")
    Substitution.objects.bulk_create(
        Substitution(brew=brew, wanted=one.wanted, lot=one.lot, event=event, reason=one.reason.strip())
        for one in stands_in
    )


def refuse_off_the_sheet(
    brew: Brew,
    event: Event,
    parts: Sequence[Part],
    stands_in: Sequence[StandIn],
    completes: Sequence[Material],
    reason: str,
) -> None:
    """Raise where the draw, which is posted, is not what the sheet asks for; nothing is asked without a sheet.

    NotOnTheSheet and StandsInForNothing always; MoreThanTheSheetAsks, and LessThanTheSheetAsks for what the draw is
    said to complete, unless a reason is given.
    """
    if brew.sheet is None or brew.cold_wort_micro is None:
        return
    if not stands_in and not completes and all(part.lot.material.kind not in KEPT_TO for part in parts):
        return  # liquor and the like: the sheet has no say
    sheet = sheets_in_full().get(pk=brew.sheet.pk)
    lines = drawn_lines(wanted_by(sheet, brew.cold_wort_micro), drawn_for(brew))
    asked = {line.wanted.material.pk for line in lines}
    wanted_for = {one.lot.pk: one.wanted for one in stands_in}
    for one in stands_in:
        if one.wanted.pk not in asked:
            raise StandsInForNothing(wanted=one.wanted.name, lot=one.lot.code, brew=brew.code, field="stands_in")
    for part in parts:
        material = wanted_for.get(part.lot.pk, part.lot.material)
        if material.pk not in asked and material.kind in KEPT_TO:
            raise NotOnTheSheet(
                material=material.name, lot=part.lot.code, sheet=brew.sheet, brew=brew.code, field="stands_in"
            )
    if not reason:
        drawn = {wanted_for.get(part.lot.pk, part.lot.material).pk for part in parts}
        _refuse_amounts(lines, drawn, {material.pk for material in completes})


def _refuse_amounts(lines: Sequence[PickLine], drawn: set[int], completes: set[int]) -> None:
    for one in _sums(lines):
        key = one.line.wanted.material.pk
        facts = {
            "material": one.line.wanted.material.name,
            "asked": one.shown(one.asked),
            "drawn": one.shown(one.brought),
            "off": one.off_pct if one.asked else "100",
        }
        if key in drawn and one.brought * _MILLION > one.asked * _MOST:
            raise MoreThanTheSheetAsks(field="reason", **facts)
        if key in completes and one.brought * _MILLION < one.asked * _LEAST:
            raise LessThanTheSheetAsks(field="reason", **facts)


def _sums(lines: Sequence[PickLine]) -> list[_Sum]:
    """Return the lines of one material together, those by alpha acids apart from those by weight."""
    together: dict[tuple[int, bool], list[PickLine]] = defaultdict(list)
    for line in lines:
        together[line.wanted.material.pk, line.wanted.alpha_micro is not None].append(line)
    return [
        _Sum(some[0], sum(line.asked_micro for line in some), sum(line.brought_micro for line in some))
        for some in together.values()
    ]
