"""The duty record as tables of a workbook."""

from collections.abc import Sequence
from decimal import Decimal

from brewery.kernel.services.spreadsheets import Cell, Table
from brewery.science.duty.schemes import CAUTION
from inventory.queries.usage import Period
from traceability.queries.duty_overview import named_lines
from traceability.queries.duty_record import DutyRow, litres, totals


def record_tables(scheme: str, period: Period, rows: Sequence[DutyRow]) -> list[Table]:
    """Return what it is, the lines of all beer together, and one row for each kind of beer, in litres."""
    about: list[list[Cell]] = [
        ["scheme", scheme],
        ["first day", period.first],
        ["last day", period.last],
        ["caution", CAUTION],
    ]
    sums = totals(rows)
    named = named_lines()
    head = ("product", "name", "strength", "container", "container_l", *named)
    return [
        Table("About", ("what", "words"), about),
        Table("Lines", ("line", "words", "litres"), [[key, words, _l(sums[key])] for key, words in named.items()]),
        Table("By beer", head, [_row(row) for row in rows]),
    ]


def _row(row: DutyRow) -> list[Cell]:
    beer = row.beer
    contents = _l(beer.contents_micro * 10**6) if beer.contents_micro else None
    sums = totals([row])
    return [beer.product, beer.name, beer.strength, beer.container, contents, *(_l(sums[name]) for name in sums)]


def _l(pico: int) -> Decimal:
    return Decimal(litres(pico))
