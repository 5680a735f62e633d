"""Consistency: the figures of one brew of a beer after another, with control limits, and which lots changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from brewery.production.models import Brew, LogEntry
from brewery.production.queries.brew_log import Readings, figure_of, readings_by_brew
from brewery.production.queries.brewhouse import figures_by_brew
from brewery.production.queries.drawn import Drawn, drawn_by_brew
from brewery.production.queries.hop_doses import HopDose, HopsOfLot
from brewery.production.queries.pick_lists import drawn_lines
from brewery.production.queries.sheet_bitterness import bitterness_of
from brewery.production.queries.sheet_contents import SheetContent, content_of
from brewery.production.queries.sheet_scaling import scaled
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.queries.wanted import wanted_by
from brewery.science.control import ControlLimits, control_limits
from brewery.science.ranges import OutOfRange
from inventory.models import Lot, Material

_Step, _Property = LogEntry.Step, LogEntry.Property
MOST_BREWS = 50
FEWEST = 3


@dataclass(frozen=True)
class Series:
    """One figure over brews, the first brew first; None where a brew does not tell it. `limits` need three values.

    `compared` is another figure beside it (what was predicted of what was measured), and has no limits.
    """

    key: str
    label: str
    unit: str
    values: tuple[float | None, ...]
    limits: ControlLimits | None
    compared: tuple[float | None, ...] = ()

    def is_out(self, place: int) -> bool:
        """Return whether the value at a place lies outside of the limits."""
        value = self.values[place]
        return bool(self.limits and value is not None and not self.limits.low <= value <= self.limits.high)

    @property
    def ranges(self) -> tuple[float | None, ...]:
        """By how much each value moved from the one before it that was told."""
        told = [place for place, value in enumerate(self.values) if value is not None]
        moved: list[float | None] = [None] * len(self.values)
        for before, after in pairwise(told):
            first, second = self.values[before], self.values[after]
            if first is not None and second is not None:
                moved[after] = abs(second - first)
        return tuple(moved)


@dataclass(frozen=True)
class LotChange:
    """The lots of one material in one brew and in the next, where they differ."""

    material: Material
    before: tuple[Lot, ...]
    after: tuple[Lot, ...]


@dataclass(frozen=True)
class Change:
    """What changed from one brew to the next: the version of the sheet, and lots."""

    before: Brew
    after: Brew
    lots: tuple[LotChange, ...]

    @property
    def is_other_sheet(self) -> bool:
        """Whether the two were brewed by different sheets."""
        return self.before.sheet_id != self.after.sheet_id


@dataclass(frozen=True)
class Consistency:
    """All that is told of the brews of a beer."""

    brews: tuple[Brew, ...]
    series: tuple[Series, ...]
    changes: tuple[Change, ...]


def consistency_of(beer: Material) -> Consistency:
    """Return the figures of the last brews of the beer; the same statements however many."""
    newest = Brew.objects.filter(beer=beer).select_related("sheet__beer", "location").order_by("-started_at", "-pk")
    brews = tuple(reversed(newest[:MOST_BREWS]))
    figures, readings, drawn = figures_by_brew(brews), readings_by_brew(brews), drawn_by_brew(brews)
    told = {brew.pk: {figure.key: figure.value for figure in figures[brew.pk]} for brew in brews}
    original = [_reading(readings[brew.pk], _Step.KNOCK_OUT, _Property.GRAVITY) for brew in brews]
    measured = [_reading(readings[brew.pk], _Step.FINISHED, _Property.BITTERNESS) for brew in brews]
    series = (
        _series("yield", "Brewhouse yield", "%", [told[brew.pk]["brewhouse_yield"] for brew in brews]),
        _series("original_gravity", "Original gravity", "°P", original),
        _series("bitterness", "Bitterness", "BU", measured, _predicted(brews, drawn)),
        _series("attenuation", "Apparent attenuation", "%", [told[brew.pk]["attenuation"] for brew in brews]),
    )
    return Consistency(brews, series, tuple(_change(before, after, drawn) for before, after in pairwise(brews)))


def changes_between(before: Brew, after: Brew) -> Change:
    """Return what changed from one brew to another."""
    return _change(before, after, drawn_by_brew([before, after]))


def _series(
    key: str, label: str, unit: str, values: Sequence[float | None], compared: Sequence[float | None] = ()
) -> Series:
    told = [value for value in values if value is not None]
    limits = control_limits(told) if len(told) >= FEWEST else None
    return Series(key, label, unit, tuple(values), limits, tuple(compared))


def _reading(readings: Readings, step: str, measured: str) -> float | None:
    entry = readings.get((step, measured))
    return figure_of(entry) if entry else None


def _predicted(brews: Sequence[Brew], drawn: dict[int, list[Drawn]]) -> list[float | None]:
    """Return the bitterness that the hops drawn were expected to bring, by their alpha when they were drawn."""
    sheets = sheets_in_full().in_bulk({brew.sheet_id for brew in brews if brew.sheet_id})
    found: list[float | None] = []
    for brew in brews:
        sheet = sheets.get(brew.sheet_id or 0)
        hops = [one for one in drawn[brew.pk] if one.lot.material.kind == Material.Kind.HOP]
        if sheet is None or brew.cold_wort_micro is None or not hops:
            found.append(None)
            continue
        content = scaled(content_of(sheet), brew.cold_wort_micro)
        lines = drawn_lines(wanted_by(sheet, brew.cold_wort_micro), hops)
        by_key = {line.wanted.key: line for line in lines}
        doses = [
            HopDose(hop, tuple(_of_lot(one) for one in by_key[f"hops-{place}"].drawn), 0)
            for place, hop in enumerate(content.hops, 1)
            if f"hops-{place}" in by_key
        ]
        found.append(_expected(content, doses))
    return found


def _of_lot(one: Drawn) -> HopsOfLot:
    if one.alpha is None:
        return HopsOfLot(one.lot, one.quantity_micro, None, "not certified")
    return HopsOfLot(one.lot, one.quantity_micro, one.alpha.alpha_pct, one.alpha.why)


def _expected(content: SheetContent, doses: list[HopDose]) -> float | None:
    try:
        return bitterness_of(content, doses).value
    except OutOfRange:
        return None


def _change(before: Brew, after: Brew, drawn: dict[int, list[Drawn]]) -> Change:
    first, second = _lots_by_material(drawn[before.pk]), _lots_by_material(drawn[after.pk])
    lots = [
        LotChange(material, first.get(material, ()), second.get(material, ()))
        for material in sorted({*first, *second}, key=lambda material: material.code)
        if set(first.get(material, ())) != set(second.get(material, ()))
    ]
    return Change(before, after, tuple(lots))


def _lots_by_material(drawn: Sequence[Drawn]) -> dict[Material, tuple[Lot, ...]]:
    found: dict[Material, list[Lot]] = {}
    for one in drawn:
        lots = found.setdefault(one.wanted, [])
        if one.lot not in lots:
            lots.append(one.lot)
    return {material: tuple(lots) for material, lots in found.items()}
