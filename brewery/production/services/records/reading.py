"""Reading: a folder of CSV files becomes records, or a list of all that is wrong with them."""

import csv
import io
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from brewery.production.services.records.cells import BadCell
from brewery.production.services.records.columns import Column, Kind
from brewery.production.services.records.decoding import Undecodable, text_of
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.problems import Problem, RecordsRefused
from brewery.production.services.records.rows import Record, Row

Line = tuple[int, list[str]]


@dataclass(frozen=True)
class FileRead:
    """What one file held: its records, and all that is wrong with it."""

    records: tuple[Record, ...]
    problems: tuple[Problem, ...]


def read_folder(folder: Path) -> list[Record]:
    """Return the records of all files in the folder, each kind in the order of `KINDS`.

    Raises RecordsRefused with every problem of every file: text that cannot be read, columns that are unknown, there
    twice or missing (those that may be empty may be left out), lines that are too long, too short or blank, and cells
    that are not what they should be.
    """
    problems = _problems_of_folder(folder)
    records: list[Record] = []
    for kind in KINDS.values():
        path = folder / kind.file
        if path.exists() or path.is_symlink():
            read = read_file(path, kind)
            problems.extend(read.problems)
            records.extend(read.records)
    if problems:
        raise RecordsRefused(problems)
    return records


def _problems_of_folder(folder: Path) -> list[Problem]:
    if not folder.is_dir():
        return [Problem(str(folder), 0, "", "There is no such folder.")]
    names = sorted(path.name for path in folder.iterdir() if path.suffix.lower() == ".csv")
    known = [kind.file for kind in KINDS.values()]
    if not names:
        return [Problem(str(folder), 0, "", f"It holds no CSV file; the files are {', '.join(known)}.")]
    reason = f"No records go by this name; the files are {', '.join(known)}."
    return [Problem(name, 0, "", reason) for name in names if name not in known]


def read_file(path: Path, kind: Kind) -> FileRead:
    """Return what the file holds; records only if nothing is wrong with it."""
    try:
        lines = list(_lines(path.name, text_of(path)))
    except Undecodable as unreadable:
        return FileRead((), (unreadable.problem,))
    if not lines:
        return FileRead((), (Problem(path.name, 1, "", "It is empty; its first line names the columns."),))
    (_, header), *body = lines
    header = [name.strip() for name in header]
    problems = list(_problems_of_header(kind, header))
    if problems:
        return FileRead((), tuple(problems))
    rows = [row for line in body if (row := _row(kind, header, line, problems))]
    records = _grouped(kind, rows, problems)
    return FileRead(() if problems else tuple(records), tuple(problems))


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


def _problems_of_header(kind: Kind, header: Sequence[str]) -> Iterator[Problem]:
    known = [column.name for column in kind.columns]
    if len(header) == 1 and len(re.split("[;\t]", header[0])) > 1:
        yield Problem(kind.file, 1, "", "Its cells stand apart by semicolons or tabs; save it with commas.")
        return
    for name in dict.fromkeys(header):
        if name not in known:
            yield Problem(kind.file, 1, name, f"There is no such column; the columns are {', '.join(known)}.")
        elif header.count(name) > 1:
            yield Problem(kind.file, 1, name, "The column is there twice.")
    for column in kind.columns:
        if column.required and column.name not in header:
            yield Problem(kind.file, 1, column.name, "The column is missing.")


def _row(kind: Kind, header: Sequence[str], line: Line, problems: list[Problem]) -> Row | None:
    """Return the line's values, or None with all that is wrong with it added to `problems`."""
    number, cells = line
    if not any(cell.strip() for cell in cells):
        problems.append(Problem(kind.file, number, "", "The line is blank; remove it."))
        return None
    if len(cells) != len(header):
        reason = f"The line has {len(cells)} cells where the header has {len(header)}."
        problems.append(Problem(kind.file, number, "", reason))
        return None
    typed = dict(zip(header, cells, strict=True))
    values: dict[str, Any] = {}
    wrong = len(problems)
    for column in kind.columns:
        try:
            values[column.name] = _value(column, typed.get(column.name, "").strip())
        except BadCell as bad:
            problems.append(Problem(kind.file, number, column.name, str(bad)))
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


def _grouped(kind: Kind, rows: Sequence[Row], problems: list[Problem]) -> list[Record]:
    """Return the rows as records; lines of one record that contradict each other are added to `problems`."""
    groups: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        groups[row[kind.key]].append(row)
    for number, lines in groups.items():
        if len(lines) > 1:
            problems.extend(_contradictions(kind, number, lines))
    return [Record(kind, number, tuple(sorted(lines, key=_content))) for number, lines in groups.items()]


def _contradictions(kind: Kind, number: str, rows: Sequence[Row]) -> Iterator[Problem]:
    first = rows[0]
    for row in rows[1:]:
        if not kind.several_lines:
            reason = f"{number!r} is on line {first.line} already; in this file each line has its own."
            yield Problem(kind.file, row.line, kind.key, reason)
            continue
        for column in kind.columns:
            if column.of_record and row[column.name] != first[column.name]:
                reason = f"It differs from line {first.line}, which belongs to the same record {number!r}."
                yield Problem(kind.file, row.line, column.name, reason)


def _content(row: Row) -> tuple[str, ...]:
    return tuple(str(value) for value in row.cells.values())
