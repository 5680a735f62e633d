"""Reading: a folder of CSV files becomes records, or a list of all that is wrong with them."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from brewery.kernel.tables.decoding import Undecodable, text_of
from brewery.kernel.tables.problems import Problem
from brewery.kernel.tables.reading import Row, read_table
from brewery.production.services.records.columns import Kind
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.problems import RecordsRefused
from brewery.production.services.records.rows import Record


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
        table = read_table(path.name, text_of(path), kind.columns)
    except Undecodable as unreadable:
        return FileRead((), (unreadable.problem,))
    problems = list(table.problems)
    records = _grouped(kind, table.rows, problems)
    return FileRead(() if problems else tuple(records), tuple(problems))


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
