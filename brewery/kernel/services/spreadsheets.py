"""Tables as files that spreadsheets open: CSV in UTF-8, and XLSX.

What people typed is never run: text that a spreadsheet would take for a formula (OWASP, "CSV Injection": a leading
= + - @, a tab or a line break) has an apostrophe before it in CSV, and is written as text in XLSX. Quantities are plain
decimals and exact: XLSX holds numbers as binary floats, which keep 15 significant digits (IEEE 754 double precision),
so one of more digits is written as text.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

import xlsxwriter

from brewery.science.units import MICRO

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

BYTE_ORDER_MARK = "\ufeff"
"""Tells some spreadsheets that the file is UTF-8; others do without."""

EXACT_DIGITS = 15
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@dataclass(frozen=True)
class Amount:
    """A quantity in micro-units, to be written in its base unit."""

    micro: int
    unit: str

    def __str__(self) -> str:
        # As format_micro writes it, and many times as fast: a file may hold a million of them.
        whole, rest = divmod(abs(self.micro), MICRO)
        places = f".{rest:06}".rstrip("0") if rest else ""
        return f"{'-' if self.micro < 0 else ''}{whole}{places}"


Cell = str | int | date | Amount | Decimal | None


@dataclass(frozen=True)
class Table:
    """A table with a name for its sheet."""

    name: str
    header: Sequence[str]
    rows: Iterable[Sequence[Cell]]


def csv_lines(table: Table, *, byte_order_mark: bool = False) -> Iterator[str]:
    """Yield the table line by line (RFC 4180), its header first."""
    line = io.StringIO()
    writer = csv.writer(line)
    if byte_order_mark:
        line.write(BYTE_ORDER_MARK)
    for row in (table.header, *([_plain(cell) for cell in row] for row in table.rows)):
        writer.writerow(row)
        yield line.getvalue()
        line.seek(0)
        line.truncate()


def xlsx_bytes(table: Table) -> bytes:
    """Return the table as a workbook of one sheet (ISO/IEC 29500), its header in view and ready to be filtered."""
    return book_bytes([table])


def book_bytes(tables: Iterable[Table]) -> bytes:
    """Return the tables as a workbook of one sheet each."""
    content = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(content, options) as book:
        day, bold = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format({"bold": True})
        for table in tables:
            _write_sheet(book.add_worksheet(table.name), table, day, bold)
    return content.getvalue()


def _write_sheet(sheet: Any, table: Table, day: Any, bold: Any) -> None:
    sheet.write_row(0, 0, table.header, bold)
    sheet.freeze_panes(1, 0)
    last = 0
    for last, row in enumerate(table.rows, start=1):
        for column, cell in enumerate(row):
            _write(sheet, last, column, cell, day)
    sheet.autofilter(0, 0, last, len(table.header) - 1)


def _plain(cell: Cell) -> str:
    if isinstance(cell, str):
        return f"'{cell}" if cell.startswith(_STARTS_A_FORMULA) else cell
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    return "" if cell is None else str(cell)


def _write(sheet: Any, row: int, column: int, cell: Cell, day: Any) -> None:
    if isinstance(cell, date):
        sheet.write_datetime(row, column, cell, day)
    elif isinstance(cell, int):
        sheet.write_number(row, column, cell)
    elif isinstance(cell, Amount | Decimal) and len(_plain(cell).strip("-0").replace(".", "")) <= EXACT_DIGITS:
        sheet.write_number(row, column, float(cell if isinstance(cell, Decimal) else str(cell)))
    elif cell is not None:
        sheet.write_string(row, column, f"{cell:f}" if isinstance(cell, Decimal) else str(cell))
