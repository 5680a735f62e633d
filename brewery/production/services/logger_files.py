"""Files of loggers: what instruments read of one tank or several, as they hand it over, read in whole or not at all."""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.kernel.tables.cells import CODE, LOGGED_MOMENT, BadCell, Form, text
from brewery.kernel.tables.columns import Column
from brewery.kernel.tables.problems import Problem
from brewery.kernel.tables.reading import Row
from brewery.production.models import TankReading
from brewery.production.services.tank_readings import Measured, take_down
from brewery.science.properties import NotAReading, Property, plain, plausible, read
from brewery.science.tank_readings import READINGS
from inventory.models import Location
from inventory.services.attachments import FileTooLarge
from inventory.services.delivery_files import LARGEST_BYTES, LONGEST_NAME, file_refused, named_in, rows_of

MOST_READINGS = 50_000
_Key = tuple[int, str, datetime]


def _form_of(measured: Property) -> Form:
    """Return the form of a figure of that property, below zero too, in millionths."""

    def read_cell(cell: str) -> int:
        try:
            found = read(measured, cell)
        except NotAReading as wrong:
            raise BadCell(str(wrong)) from wrong
        if found.value_micro is None or found.bound:
            raise BadCell(f"{cell!r} is no figure alone; leave out < and >.")
        return found.value_micro

    return Form(f"plain decimal, {plausible(measured)}", read_cell)


COLUMNS = (
    Column("vessel", CODE),
    Column("time", LOGGED_MOMENT),
    *(Column(key, _form_of(measured), required=False) for key, measured in READINGS.items()),
    Column("remark", text(200), required=False),
)
"""What a file may tell of each moment; its first line names the columns, in any order."""


class AllOnRecord(DomainError):
    code = "all_on_record"
    title = "All of it is on record already."
    template = "Every one of the {count} readings in {name} is on record already."
    advice = "Nothing was added."


@dataclass(frozen=True)
class _Cell:
    """One reading of the file, and the line it stands in."""

    line: int
    measured: Measured

    @property
    def key(self) -> _Key:
        return self.measured.vessel.pk, self.measured.property, self.measured.happened_at


def read_in_logger_file(*, name: str, content: bytes, actor: User, request_id: UUID) -> TankReading:
    """Every figure of the file is a reading, or none is; what is on record already is not written again.

    A figure that was corrected since counts as on record too. Returns the first that is new. Raises FileRefused with
    each fault by line, column and value, FileTooLarge, AllOnRecord.
    """
    shown = name[:LONGEST_NAME] or "The file"
    if len(content) > LARGEST_BYTES:
        raise FileTooLarge(name=shown, size=len(content), most=LARGEST_BYTES, field="file")
    rows = rows_of(shown, content, COLUMNS)

    @once("read_in_logger_file", returns=TankReading)
    def read_in(*, name: str, sha256: str, actor: User, request_id: UUID) -> TankReading:
        cells = _cells_of(name, rows)
        fresh = _not_on_record(cells)
        if not fresh:
            raise AllOnRecord(count=len(cells), name=name, field="file")
        try:
            return take_down([cell.measured for cell in fresh], actor, request_id)[0]
        except DomainError as refused:
            raise file_refused(name, sorted(_problems(name, refused, fresh))) from refused

    return read_in(name=shown, sha256=hashlib.sha256(content).hexdigest(), actor=actor, request_id=request_id)


def _cells_of(name: str, rows: Sequence[Row]) -> list[_Cell]:
    """Return the readings of the file. Raises FileRefused for an unknown tank, an empty line, and what stands twice."""
    tanks = named_in(Location.objects.tanks(), rows, "vessel")
    problems: list[Problem] = []
    found: dict[_Key, _Cell] = {}
    for row in rows:
        if row["vessel"] not in tanks:
            problems.append(Problem(name, row.line, "vessel", "There is no tank of this code.", row["vessel"]))
            continue
        cells = list(_cells_of_row(row, tanks))
        if not cells:
            problems.append(Problem(name, row.line, "", "It tells no figure."))
        for cell in cells:
            first = found.setdefault(cell.key, cell)
            if first is not cell:
                problems.append(_problem(name, cell, f"Line {first.line} tells this of that moment already."))
    if len(found) > MOST_READINGS:
        problems.append(Problem(name, 0, "", f"It holds {len(found)} readings; split it into {MOST_READINGS} at most."))
    if problems:
        raise file_refused(name, sorted(problems))
    return list(found.values())


def _cells_of_row(row: Row, tanks: Mapping[str, Location]) -> Iterator[_Cell]:
    for key in READINGS:
        if row[key] is not None:
            measured = Measured(tanks[row["vessel"]], key, row[key], row["time"], row["remark"] or "")
            yield _Cell(row.line, measured)


def _not_on_record(cells: Sequence[_Cell]) -> list[_Cell]:
    """Return those that no reading says, corrected or not."""
    moments = [cell.measured.happened_at for cell in cells]
    rows = TankReading.objects.filter(
        vessel__in={cell.measured.vessel.pk for cell in cells}, happened_at__range=(min(moments), max(moments))
    )
    there = set(rows.values_list("vessel", "property", "happened_at", "value_micro"))
    return [cell for cell in cells if (*cell.key, cell.measured.value_micro) not in there]


def _problems(name: str, refused: DomainError, cells: Sequence[_Cell]) -> Iterator[Problem]:
    """Yield each refusal by the place of the figure that it is about; a single figure is refused as itself."""
    for fault in refused.all_faults():
        place = (fault.field or "").removeprefix("readings.")
        yield _problem(name, cells[int(place) if place.isdecimal() else 0], str(fault))


def _problem(name: str, cell: _Cell, reason: str) -> Problem:
    return Problem(name, cell.line, cell.measured.property, reason, plain(cell.measured.value_micro))
