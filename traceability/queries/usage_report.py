"""Usage for the accountant: by material, product, brew or lot, with what it cost, beside earlier periods.

What was used is worth what its lots cost, each by its own newest cost; a lot that has none is left out of the sum and
its quantity is told. That is the cost of the very lots, where lots are told apart: IAS 2, paragraph 23.
"""

import enum
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from inventory.models import Lot, LotCost, Material
from inventory.queries.usage import COLUMNS, Period, usage_of
from inventory.queries.valuation import MICRO_E4
from traceability.queries.usage_moves import RAW, Move, moves_of

NO_WORK = "not for a brew or a run"


class By(enum.StrEnum):
    """By what usage is told apart, each within its material."""

    MATERIAL = "material"
    PRODUCT = "product"
    BREW = "brew"
    LOT = "lot"


@dataclass
class Worth:
    """What was used is worth, by currency, and how much of it has no cost, in micro-units."""

    value: dict[str, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    without_cost_micro: int = 0


@dataclass
class UsageRow:
    """One row: a material, and the product, brew or lot within it ("" for all of the material).

    `columns` are by the names of `COLUMNS`, in micro-units: above zero what came in, below what went out. Opening,
    closing and what was used before are told of whole materials alone.
    """

    material: Material
    key: str = ""
    columns: dict[str, int] = field(default_factory=lambda: dict.fromkeys(COLUMNS, 0))
    worth: Worth = field(default_factory=Worth)
    opening_micro: int | None = None
    closing_micro: int | None = None
    used_before_micro: int | None = None
    used_year_before_micro: int | None = None

    @property
    def used_micro(self) -> int:
        """What was used, above zero, less what came back."""
        return -self.columns["used"]


def usage_rows(period: Period, by: By = By.MATERIAL, kinds: Collection[str] = RAW) -> list[UsageRow]:
    """Return the rows by material, and within it by key; the same statements however many.

    By product and by brew only what was used is told; its rows add up to the material's.
    """
    moves = moves_of(period, kinds)
    lots = Lot.objects.filter(pk__in={move.lot for move in moves}).select_related("material").in_bulk()
    rows = _of_materials(period, kinds) if by is By.MATERIAL else _parts(by, moves, lots)
    _value(rows, by, moves, lots)
    return rows


def _of_materials(period: Period, kinds: Collection[str]) -> list[UsageRow]:
    """Return the rows of whole materials that were there or moved, with what was used in the periods before."""
    materials = list(Material.objects.filter(kind__in=list(kinds)))
    if not materials:
        return []
    before, year_before = (
        {one.material.pk: one.used_micro for one in usage_of(other, materials)}
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
        if one.opening_micro or any(one.flows.values())
    ]


def _parts(by: By, moves: Sequence[Move], lots: dict[int, Lot]) -> list[UsageRow]:
    found: dict[tuple[str, str], UsageRow] = {}
    for move in moves:
        if by is not By.LOT and move.column != "used":
            continue
        material, key = lots[move.lot].material, _key(by, move, lots)
        row = found.setdefault((material.code, key), UsageRow(material, key))
        row.columns[move.column] += move.micro
    return [row for _, row in sorted(found.items()) if any(row.columns.values())]


def _key(by: By, move: Move, lots: dict[int, Lot]) -> str:
    if by is By.LOT:
        return lots[move.lot].code
    told = move.purpose.product if by is By.PRODUCT else move.purpose.work
    return told or NO_WORK


def _value(rows: Iterable[UsageRow], by: By, moves: Sequence[Move], lots: dict[int, Lot]) -> None:
    costs = {cost.lot_id: cost for cost in LotCost.objects.filter(lot__in=lots).order_by("pk")}
    by_key = {(row.material.pk, row.key): row for row in rows}
    for move in moves:
        key = "" if by is By.MATERIAL else _key(by, move, lots)
        row = by_key.get((lots[move.lot].material_id, key))
        if move.column != "used" or row is None:
            continue
        cost = costs.get(move.lot)
        if cost is None:
            row.worth.without_cost_micro -= move.micro
        else:
            row.worth.value[cost.currency] += Fraction(-move.micro * cost.unit_cost_e4, MICRO_E4)
