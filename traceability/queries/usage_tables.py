"""Usage as tables, for files, the command and answers: quantities in each material's unit, or in pounds and gallons."""

from collections.abc import Iterator, Sequence

from brewery.kernel.services.spreadsheets import Amount, Cell, Table
from brewery.science.units import MICRO, BaseUnit, from_micro
from inventory.queries.usage import COLUMNS, Period
from inventory.queries.valuation import money
from traceability.queries.usage_report import By, UsageRow, Worth
from traceability.queries.usage_variance import Variance

CUSTOMARY = {BaseUnit.KG: "lb", BaseUnit.L: "US gal"}
"""What accountants in the United States ask for."""


def usage_table(rows: Sequence[UsageRow], by: By, *, customary: bool = False, with_costs: bool = True) -> Table:
    """Return the rows as a table; columns that are only told of whole materials are empty where there are parts."""
    part = "all" if by is By.MATERIAL else by.value
    head = ("material", "name", part, "unit", "opening", *COLUMNS, "closing", "used_before", "used_year_before")
    costs = ("used_cost", "without_cost") if with_costs else ()
    cells = ([*_cells(row, customary), *(_costs(row, customary) if with_costs else ())] for row in rows)
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
        ["used_cost", "what the lots that were used cost, each by its own newest cost, two decimals"],
        ["without_cost", "what was used of lots that have no cost; it is not in used_cost"],
    ]
    return Table("About", ("what", "words"), told)


def costs_of(worth: Worth) -> str:
    """Return what it is worth in words: every currency, rounded to its hundredth."""
    return "; ".join(f"{money(value)} {currency}" for currency, value in sorted(worth.value.items()))


def unit_of_row(row: UsageRow, *, customary: bool = False) -> str:
    """Return the unit that the row is told in."""
    base = BaseUnit(row.material.base_unit)
    return CUSTOMARY.get(base, base.value) if customary else base.value


def quantity_in(micro: int, unit: str, row: UsageRow) -> Amount:
    """Return a quantity of the row in the unit: exact in its own, otherwise to a millionth."""
    if unit == row.material.base_unit:
        return Amount(micro, unit)
    return Amount(round(from_micro(micro, unit) * MICRO), unit)


def _cells(row: UsageRow, customary: bool) -> Iterator[Cell]:
    unit, material = unit_of_row(row, customary=customary), row.material
    yield from (material.code, material.name, row.key, unit)
    told = (row.opening_micro, *row.columns.values(), row.closing_micro, row.used_before_micro)
    for micro in (*told, row.used_year_before_micro):
        yield None if micro is None else quantity_in(micro, unit, row)


def _costs(row: UsageRow, customary: bool) -> Iterator[Cell]:
    yield costs_of(row.worth)
    yield quantity_in(row.worth.without_cost_micro, unit_of_row(row, customary=customary), row)


def _varied(one: Variance) -> list[Cell]:
    unit = "kg alpha acids" if one.is_alpha else one.material.base_unit
    amounts = [
        None if micro is None else Amount(micro, unit) for micro in (one.wanted_micro, one.drawn_micro, one.off_micro)
    ]
    pct = None if one.off_pct is None else f"{one.off_pct:.2f}"
    marked = "yes" if one.is_doubted else ""
    return [one.brew.code, one.brew.beer.name, one.material.code, one.material.name, unit, *amounts, pct, marked]
