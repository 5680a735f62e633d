"""Certificates from a file: one CSV file, many lots, a line a certificate; all of it is entered, or none."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from uuid import UUID

from brewery.kernel.errors import DomainError, SeveralFaults
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.kernel.tables.cells import DAY, text
from brewery.kernel.tables.columns import Column
from brewery.kernel.tables.decoding import Undecodable, text_of_content
from brewery.kernel.tables.problems import Problem
from brewery.kernel.tables.reading import Row, read_table
from brewery.science.analyses import ANALYSES
from inventory.models import Certificate
from inventory.queries.lots import lots_by_code
from inventory.services.attachments import keep_table
from inventory.services.certificates import Measured, write_certificate
from inventory.services.posting import lock_lots

MOST_LINES = 2_000
MOST_TOLD = 100

HEAD = (
    Column("lot", text(20)),
    Column("number", text(60), required=False),
    Column("laboratory", text(120), required=False),
    Column("issued_on", DAY, required=False),
)
PROPERTIES = tuple(dict.fromkeys(key for analysis in ANALYSES.values() for key in analysis))
COLUMNS = (*HEAD, *(Column(key, text(120), required=False) for key in PROPERTIES))
"""What a file may have: who the line is about, then any properties; a cell that is empty is not stated."""


class BadPlace(DomainError):
    code = "bad_place"
    status = 400
    title = "Something in the file cannot be."
    template = "{place}"


class BadFile(SeveralFaults):
    code = "bad_file"
    status = 400
    title = "Nothing of the file was entered."
    template = "Nothing of {file} was entered: {count} things are to be put right."


def hand_in_file(*, content: bytes, name: str, actor: User, request_id: UUID) -> Certificate:
    """Every line of the CSV file is a certificate on record, judged as if it had been typed.

    Returns the first; they are all of one request, and the file is kept with each. Raises BadFile, which names line
    and column of all that is wrong.
    """
    rows = _rows(name, content)

    @once("hand_in_certificates", returns=Certificate)
    def enter_all(*, sha256: str, name: str, actor: User, request_id: UUID) -> Certificate:
        made = _enter(name, rows, actor, request_id)
        keep_table(content=content, name=name, certificates=made, actor=actor)
        return made[0]

    digest = hashlib.sha256(content).hexdigest()
    return enter_all(sha256=digest, name=name, actor=actor, request_id=request_id)


def _rows(name: str, content: bytes) -> tuple[Row, ...]:
    try:
        table = read_table(name, text_of_content(name, content), COLUMNS)
    except Undecodable as unreadable:
        raise _bad_file(name, [unreadable.problem]) from unreadable
    problems = list(table.problems)
    if not problems and not table.rows:
        problems.append(Problem(name, 0, "", "It has no line below the names of the columns."))
    if len(table.rows) > MOST_LINES:
        problems.append(Problem(name, 0, "", f"It has {len(table.rows)} lines; up to {MOST_LINES} are read. Split it."))
    if problems:
        raise _bad_file(name, problems)
    return table.rows


def _enter(name: str, rows: Sequence[Row], actor: User, request_id: UUID) -> list[Certificate]:
    lots = lots_by_code([row["lot"] for row in rows])
    lock_lots(lots.values())
    problems: list[Problem] = []
    made: list[Certificate] = []
    for row in rows:
        lot = lots.get(row["lot"])
        if lot is None:
            problems.append(Problem(name, row.line, "lot", f"There is no lot {row['lot']!r}."))
            continue
        values = [Measured(key, row[key]) for key in PROPERTIES if row[key]]
        try:
            made.append(
                write_certificate(
                    lot=lot,
                    values=values,
                    actor=actor,
                    request_id=request_id,
                    number=row["number"] or "",
                    laboratory=row["laboratory"] or "",
                    issued_on=row["issued_on"],
                )
            )
        except DomainError as refused:
            problems.extend(_problems(name, row, values, refused))
    if problems:
        raise _bad_file(name, problems)
    return made


def _problems(name: str, row: Row, values: Sequence[Measured], refused: DomainError) -> Iterator[Problem]:
    columns: Mapping[str, str] = {
        f"values[{index}].{part}": measured.property
        for index, measured in enumerate(values)
        for part in ("property", "value")
    }
    known = {column.name for column in HEAD}
    for fault in refused.all_faults():
        field = fault.field or ""
        column = columns.get(field, field if field in known else "")
        yield Problem(name, row.line, column, str(fault.facts.get("problem", fault)))


def _bad_file(name: str, problems: Iterable[Problem]) -> BadFile:
    told = sorted(problems)
    faults: list[DomainError] = [BadPlace(place=str(problem), field="file") for problem in told[:MOST_TOLD]]
    if len(told) > MOST_TOLD:
        faults.append(BadPlace(place=f"And {len(told) - MOST_TOLD} more.", field="file"))
    return BadFile(faults, file=name)
