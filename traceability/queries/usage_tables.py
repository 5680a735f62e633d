"""Usage as tables, for files, the command and answers: quantities in the unit of each material or of who asks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brewery.kernel.services.spreadsheets import Amount, Cell, Table
from brewery.science.units import MICRO, UNITS, BaseUnit, from_micro
from inventory.models import Material
from inventory.queries.lot_costs import Cost
from inventory.queries.usage import COLUMNS, Period
from inventory.queries.valuation import money
from traceability.queries.usage_report import By, UsageRow
from traceability.queries.usage_variance import Variance

MASSES, VOLUMES = ([one.symbol for one in UNITS.values() if one.base is base] for base in (BaseUnit.KG, BaseUnit.L))
"""In what an accountant may have masses and volumes told."""


@dataclass(frozen=True)
class Units:
    """In what masses and volumes are told; what is counted by number stays so."""

    mass: str = BaseUnit.KG.value
    volume: str = BaseUnit.L.value

    def of(self, material: Material) -> str:
        """Return the unit in which a material is told."""
        return {BaseUnit.KG: self.mass, BaseUnit.L: self.volume}.get(BaseUnit(material.base_unit), material.base_unit)

    def amount(self, micro: int, material: Material) -> Amount:
        """Return a quantity of a material: exact in its own unit, otherwise to a millionth."""
        unit = self.of(material)
        return Amount(micro if unit == material.base_unit else round(from_micro(micro, unit) * MICRO), unit)


AS_COUNTED = Units()


def usage_table(rows: Sequence[UsageRow], by: By, units: Units = AS_COUNTED, *, with_costs: bool = True) -> Table:
    """Return the rows as a table; columns that are only told of whole materials are empty where there are parts."""
    part = "all" if by is By.MATERIAL else by.value
    head = ("material", "name", part, "unit", "opening", *COLUMNS, "closing", "used_before", "used_year_before")
    costs = ("used_cost", "without_cost") if with_costs else ()
    cells = ([*_cells(row, units), *(_costs(row, units) if with_costs else ())] for row in rows)
    return Table(f"By {by.value}", (*head, *costs), cells)


def variance_table(found: Sequence[Variance]) -> Table:
    """Return what was drawn beside what sheets wanted, a row for each brew and material."""
    head = ("brew", "beer", "material", "name", "unit", "wanted", "drawn", "off", "off_pct", "is_doubted")
    return Table("Beside sheets", head, (_varied(one) for one in found))


def about(period: Period) -> Table:
    """Return what the figures are."""
    told: list[list[Cell]] = [
        ["first day", period.first],
        ["last day", period.last],
        ["signs", "above zero what came in, below zero what went out; opening and all columns make closing"],
        ["used_cost", "what the lots that were used cost, less what came back, and silos what went into them"],
        ["used_before", "used, less what came back, in the period before"],
        ["used_year_before", "used, less what came back, a year before"],
        ["without_cost", "what was used of lots that have no cost; it is not in used_cost"],
    ]
    return Table("About", ("what", "words"), told)


def costs_of(cost: Cost) -> str:
    """Return a cost in words: every currency, rounded to its hundredth."""
    return "; ".join(f"{money(value)} {currency}" for currency, value in sorted(cost.value.items()))


def _cells(row: UsageRow, units: Units) -> Iterator[Cell]:
    yield from (row.material.code, row.material.name, row.key, units.of(row.material))
    told = (row.opening_micro, *row.columns.values(), row.closing_micro, row.used_before_micro)
    for micro in (*told, row.used_year_before_micro):
        yield None if micro is None else units.amount(micro, row.material)


def _costs(row: UsageRow, units: Units) -> Iterator[Cell]:
    yield costs_of(row.cost)
    yield units.amount(row.cost.without_cost_micro, row.material)


def _varied(one: Variance) -> list[Cell]:
    unit = "kg alpha acids" if one.is_alpha else one.material.base_unit
    amounts = [
        None if micro is None else Amount(micro, unit) for micro in (one.wanted_micro, one.drawn_micro, one.off_micro)
    ]
    pct = None if one.off_pct is None else f"{one.off_pct:.2f}"
    marked = "yes" if one.is_doubted else ""
    return [one.brew.code, one.brew.beer.name, one.material.code, one.material.name, unit, *amounts, pct, marked]
