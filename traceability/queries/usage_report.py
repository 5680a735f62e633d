"""Usage for the accountant: by material, product, brew or lot, with what it cost, beside earlier periods.

What was used is worth what its lots cost, as `unit_costs` says; what has no cost is left out of the sum and its
quantity is told. That is the cost of the very lots, where lots are told apart: IAS 2, paragraph 23.
"""

import enum
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from inventory.models import Lot, Material
from inventory.queries.lot_costs import Cost, unit_costs
from inventory.queries.usage import COLUMNS, NET, Period, usage_of
from traceability.queries.usage_moves import RAW, Move, moves_of, used_by_lot

NO_WORK = "not for a brew or a run"


class By(enum.StrEnum):
    """By what usage is told apart, each within its material."""

    MATERIAL = "material"
    PRODUCT = "product"
    BREW = "brew"
    LOT = "lot"


@dataclass
class UsageRow:
    """One row: a material, and the product, brew or lot within it ("" for all of the material).

    `columns` are by the names of `COLUMNS`, in micro-units: above zero what came in, below what went out. Opening,
    closing and what was used before are told of whole materials alone.
    """

    material: Material
    key: str = ""
    columns: dict[str, int] = field(default_factory=lambda: dict.fromkeys(COLUMNS, 0))
    cost: Cost = field(default_factory=Cost)
    opening_micro: int | None = None
    closing_micro: int | None = None
    used_before_micro: int | None = None
    used_year_before_micro: int | None = None

    @property
    def used_micro(self) -> int:
        """What was used, above zero, less what came back."""
        return -sum(self.columns[name] for name in NET)


def usage_rows(period: Period, by: By = By.MATERIAL, kinds: Collection[str] = RAW) -> list[UsageRow]:
    """Return the rows by material, and within it by key; the same statements however many.

    By product and by brew only what was used and came back is told; the rows add up to the material's.
    """
    if by is By.MATERIAL:
        rows = _of_materials(period, kinds)
        _value_whole(rows, used_by_lot(period, kinds))
        return rows
    moves = moves_of(period, kinds)
    lots = Lot.objects.filter(pk__in={move.lot for move in moves}).select_related("material").in_bulk()
    rows = _parts(by, moves, lots)
    _value(rows, by, moves, lots)
    return rows


def _of_materials(period: Period, kinds: Collection[str]) -> list[UsageRow]:
    """Return the rows of materials that were there or moved, or were used in the periods they are held against."""
    materials = list(Material.objects.filter(kind__in=list(kinds)))
    if not materials:
        return []
    before, year_before = (
        {one.material.pk: -one.used_micro for one in usage_of(other, materials)}
        for other in (period.before, period.year_before)
    )
    return [
        UsageRow(
            one.material,
            columns=one.columns,
            opening_micro=one.opening_micro,
            closing_micro=one.closing_micro,
            used_before_micro=before[one.material.pk],
            used_year_before_micro=year_before[one.material.pk],
        )
        for one in usage_of(period, materials)
        if one.opening_micro or any(one.flows.values()) or before[one.material.pk] or year_before[one.material.pk]
    ]


def _parts(by: By, moves: Sequence[Move], lots: dict[int, Lot]) -> list[UsageRow]:
    found: dict[tuple[str, str], UsageRow] = {}
    for move in moves:
        if by is not By.LOT and move.column not in NET:
            continue
        material, key = lots[move.lot].material, key_of(by, move, lots[move.lot])
        row = found.setdefault((material.code, key), UsageRow(material, key))
        row.columns[move.column] += move.micro
    return [row for _, row in sorted(found.items()) if any(row.columns.values())]


def value_of(rows: Iterable[UsageRow]) -> Cost:
    """Return what all that was used cost together; quantities that have no cost do not add up over materials."""
    cost = Cost()
    for row in rows:
        for currency, value in row.cost.value.items():
            cost.value[currency] = cost.value.get(currency, Fraction(0)) + value
    return cost


def key_of(by: By, move: Move, lot: Lot) -> str:
    """Return which row within its material the move belongs to; that of all of the material is called ""."""
    if by is By.MATERIAL:
        return ""
    return lot.code if by is By.LOT else work_of(by, move)


def work_of(by: By, move: Move) -> str:
    """Return the product, or the brew, run or lot, for which something moved."""
    return (move.purpose.product if by is By.PRODUCT else move.purpose.work) or NO_WORK


def _value_whole(rows: Iterable[UsageRow], used: Mapping[tuple[int, int], int]) -> None:
    """Of whole materials by lot alone: what it was for, which is most of the work, is not asked."""
    costs = unit_costs({lot for _, lot in used})
    by_key = {row.material.pk: row for row in rows}
    for (material, lot), micro in used.items():
        if material in by_key:
            by_key[material].cost.add(-micro, costs[lot])


def _value(rows: Iterable[UsageRow], by: By, moves: Sequence[Move], lots: dict[int, Lot]) -> None:
    used = [move for move in moves if move.column in NET]
    costs = unit_costs({move.lot for move in used})
    by_key = {(row.material.pk, row.key): row for row in rows}
    for move in used:
        row = by_key.get((lots[move.lot].material_id, key_of(by, move, lots[move.lot])))
        if row:
            row.cost.add(-move.micro, costs[move.lot])
