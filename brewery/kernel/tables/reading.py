"""Reading: the text of a CSV file becomes rows, or a list of all that is wrong with it."""

import csv
import io
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from brewery.kernel.tables.cells import BadCell
from brewery.kernel.tables.columns import Column
from brewery.kernel.tables.decoding import Undecodable
from brewery.kernel.tables.problems import Problem

Line = tuple[int, list[str]]


@dataclass(frozen=True)
class Row:
    """One line of a file: a value for every column, None where the cell was empty."""

    line: int
    cells: Mapping[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.cells[column]


@dataclass(frozen=True)
class Table:
    """What a file held: the rows that are right, and all that is wrong."""

    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]


def read_table(file: str, text: str, columns: Sequence[Column]) -> Table:
    """Return the rows of the text, whose first line names the columns, in any order.

    The problems are columns that are unknown, there twice or missing (those that may be empty may be left out), lines
    that are too long, too short or blank, and cells that are not what they should be. Raises Undecodable where the
    lines cannot be taken apart.
    """
    lines = list(_lines(file, text))
    if not lines:
        return Table((), (Problem(file, 1, "", "It is empty; its first line names the columns."),))
    (_, header), *body = lines
    header = [name.strip() for name in header]
    problems = list(_problems_of_header(file, columns, header))
    if problems:
        return Table((), tuple(problems))
    rows = [row for line in body if (row := _row(file, columns, header, line, problems))]
    return Table(tuple(rows), tuple(problems))


def _lines(file: str, text: str) -> Iterator[Line]:
    """Yield the cells of each line with the number of the line that it starts on. Raises Undecodable."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    start = 1
    try:
        for cells in reader:
            yield start, cells
            start = reader.line_num + 1
    except csv.Error as wrong:
        raise Undecodable(Problem(file, start, "", f"The line cannot be taken apart: {wrong}.")) from wrong


def _problems_of_header(file: str, columns: Sequence[Column], header: Sequence[str]) -> Iterator[Problem]:
    known = [column.name for column in columns]
    if len(header) == 1 and len(re.split("[;\t]", header[0])) > 1:
        yield Problem(file, 1, "", "Its cells stand apart by semicolons or tabs; save it with commas.")
        return
    for name in dict.fromkeys(header):
        if name not in known:
            yield Problem(file, 1, name, f"There is no such column; the columns are {', '.join(known)}.")
        elif header.count(name) > 1:
            yield Problem(file, 1, name, "The column is there twice.")
    for column in columns:
        if column.required and column.name not in header:
            yield Problem(file, 1, column.name, "The column is missing.")


def _row(
    file: str, columns: Sequence[Column], header: Sequence[str], line: Line, problems: list[Problem]
) -> Row | None:
    """Return the line's values, or None with all that is wrong with it added to `problems`."""
    number, cells = line
    if not any(cell.strip() for cell in cells):
        problems.append(Problem(file, number, "", "The line is blank; remove it."))
        return None
    if len(cells) != len(header):
        reason = f"The line has {len(cells)} cells where the header has {len(header)}."
        problems.append(Problem(file, number, "", reason))
        return None
    typed = dict(zip(header, cells, strict=True))
    values: dict[str, Any] = {}
    wrong = len(problems)
    for column in columns:
        cell = typed.get(column.name, "").strip()
        try:
            values[column.name] = _value(column, cell)
        except BadCell as bad:
            problems.append(Problem(file, number, column.name, str(bad), cell))
    return Row(number, values) if len(problems) == wrong else None


def _value(column: Column, cell: str) -> Any:
    """Return what the cell stands for, None where it is empty. Raises BadCell."""
    if not cell:
        if column.required:
            raise BadCell("It is empty and must be given.")
        return None
    if not cell.isprintable() and any(unicodedata.category(sign) == "Cc" for sign in cell):
        raise BadCell("It holds a line break or another sign that cannot be printed.")
    return column.form.read(cell)
