"""Delivery files: the lines of a delivery as its supplier or an office hands them over, read into a draft at once."""

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from brewery.kernel.clock import on_the_wall
from brewery.kernel.database.sets import portions
from brewery.kernel.errors import DomainError, SeveralFaults
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.kernel.tables.cells import AMOUNT, CODE, DAY, UNIT, WHOLE, text
from brewery.kernel.tables.columns import Column
from brewery.kernel.tables.decoding import Undecodable, text_of_content
from brewery.kernel.tables.problems import Problem
from brewery.kernel.tables.reading import Row, read_table
from brewery.science.units import UNITS, UnitError, to_micro
from inventory.models import Delivery, Location, Material, OrderLine
from inventory.queries.deliveries import changes_since
from inventory.services.attachments import FileTooLarge
from inventory.services.cells import GENERATION, LOT
from inventory.services.delivery_drafts import locked_draft, name_of, note_change
from inventory.services.delivery_lines import append_lines

COLUMNS = (
    Column("material", CODE),
    Column("supplier_lot", text(60), required=False),
    Column("quantity", AMOUNT, required=False),
    Column("note_quantity", AMOUNT, required=False),
    Column("unit", UNIT, required=False),
    Column("package_count", WHOLE, required=False),
    Column("package_size", AMOUNT, required=False),
    Column("best_before", DAY, required=False),
    Column("crop_year", WHOLE, required=False),
    Column("location", CODE, required=False),
    Column("sscc", text(18), required=False),
    Column("order", CODE, required=False),
    Column("lot", LOT, required=False),
    Column("contents_lot", LOT, required=False),
    Column("generation", GENERATION, required=False),
    Column("difference_reason", text(200), required=False),
)
"""What a delivery file may tell of each line; its first line names the columns, in any order."""

QUANTITIES = {"quantity": "quantity_micro", "note_quantity": "note_quantity_micro", "package_size": "package_micro"}
PLAIN = {
    **{name: name for name in ("package_count", "best_before", "crop_year", "generation")},
    **{name: name for name in ("supplier_lot", "sscc", "difference_reason")},
    "lot": "lot_code",
    "contents_lot": "contents_code",
}
LARGEST_BYTES = 8 * 2**20
MOST_TOLD = 200
LONGEST_NAME = 80


class BadLine(DomainError):
    code = "bad_line"
    status = 400
    title = "A line of the file is not valid."
    template = "{place}: {reason}"


class FileRefused(SeveralFaults):
    code = "file_refused"
    status = 400
    title = "The file is not read in."
    template = "Nothing of {name} was read in: {count} things are to be put right{rest}."


class FileReadBefore(DomainError):
    code = "file_read_before"
    title = "This file is in the draft already."
    template = "{person} read this very file into {delivery} on {moment}."
    advice = "Nothing was added; remove the lines that are too many, or change the file."


def read_in_lines(*, delivery: Delivery, name: str, content: bytes, actor: User, request_id: UUID) -> Delivery:
    """Every line of the file is a line of the draft, or none is.

    Raises FileRefused with each bad cell by line, column, value and reason, FileTooLarge, FileReadBefore for the same
    content in the same draft, DraftBooked, DraftDiscarded, InvalidInput where the draft would have too many lines.
    """
    shown = name[:LONGEST_NAME] or "The file"
    if len(content) > LARGEST_BYTES:
        raise FileTooLarge(name=shown, size=len(content), most=LARGEST_BYTES, field="file")
    rows = rows_of(shown, content)

    @once("read_in_lines", returns=Delivery)
    def read_in(*, delivery: Delivery, name: str, sha256: str, actor: User, request_id: UUID) -> Delivery:
        draft = locked_draft(delivery, None, ())
        _refuse_again(draft, sha256)
        append_lines(draft, _facts_of(draft, name, rows))
        note_change(draft, actor, [_mark(sha256)], f"read in {len(rows)} lines of {name}")
        return draft

    sha256 = hashlib.sha256(content).hexdigest()
    return read_in(delivery=delivery, name=shown, sha256=sha256, actor=actor, request_id=request_id)


def rows_of(name: str, content: bytes, columns: Sequence[Column] = COLUMNS) -> Sequence[Row]:
    """Return the rows of the file. Raises FileRefused."""
    try:
        table = read_table(name, text_of_content(name, content), columns)
    except Undecodable as unreadable:
        raise file_refused(name, [unreadable.problem]) from unreadable
    problems = list(table.problems)
    if not table.rows and not problems:
        problems.append(Problem(name, 1, "", "It names columns and has no lines."))
    if problems:
        raise file_refused(name, problems)
    return table.rows


def _mark(sha256: str) -> str:
    """Return what a change of a draft is marked with, by which the file is known again."""
    return f"file {sha256}"


def _refuse_again(draft: Delivery, sha256: str) -> None:
    for change in changes_since(draft, 0):
        if _mark(sha256) in change.touched:
            person = change.actor.get_full_name() or change.actor.get_username()
            moment = on_the_wall(change.changed_at)
            raise FileReadBefore(person=person, delivery=name_of(draft), moment=moment, field="file")


class _Register:
    """What the codes of a file name, looked up together."""

    def __init__(self, draft: Delivery, rows: Sequence[Row]) -> None:
        self.materials = named_in(Material.objects.all(), rows, "material")
        stock = Location.objects.filter(kind__in=Location.STOCK)
        self.places = named_in(stock, rows, "location")
        ordered = OrderLine.objects.filter(order__supplier=draft.supplier_id).select_related("order", "material")
        self.orders = {(line.order.number, line.material.code): line for line in ordered.order_by("-position")}


def named_in(things: Any, rows: Sequence[Row], column: str) -> dict[str, Any]:
    """Return those of the things that a column names, by their codes."""
    codes = sorted({row[column] for row in rows if row[column]})
    return {thing.code: thing for portion in portions(codes) for thing in things.filter(code__in=portion)}


def _facts_of(draft: Delivery, name: str, rows: Sequence[Row]) -> list[Mapping[str, Any]]:
    """Return each line as the draft takes it. Raises FileRefused for what names nothing on record, or cannot be."""
    register = _Register(draft, rows)
    problems = list(_twice(name, rows))
    facts: list[Mapping[str, Any]] = []
    for row in rows:
        wrong = list(_misfits(name, row, register))
        problems += wrong
        if not wrong:
            facts.append(_facts_of_row(row, register))
    if problems:
        raise file_refused(name, sorted(problems))
    return facts


def _misfits(name: str, row: Row, register: _Register) -> Iterator[Problem]:
    material = register.materials.get(row["material"])
    if material is None:
        yield Problem(name, row.line, "material", "There is no material of this code.", row["material"])
        return
    if row["location"] and row["location"] not in register.places:
        yield Problem(name, row.line, "location", "There is no store, silo or brink of this code.", row["location"])
    if row["order"] and (row["order"], material.code) not in register.orders:
        reason = f"No order of this number from this supplier asks for {material}."
        yield Problem(name, row.line, "order", reason, row["order"])
    yield from _misfits_of_quantities(name, row, material)


def _misfits_of_quantities(name: str, row: Row, material: Material) -> Iterator[Problem]:
    told = [column for column in QUANTITIES if row[column] is not None]
    unit = row["unit"]
    if told and not unit:
        yield Problem(name, row.line, "unit", "A quantity needs its unit.")
    elif unit and UNITS[unit].base != material.base_unit:
        yield Problem(name, row.line, "unit", f"{material} is counted in {material.base_unit}.", unit)
    elif told:
        for column in told:
            try:
                to_micro(row[column], unit)
            except UnitError as wrong:
                yield Problem(name, row.line, column, str(wrong), str(row[column]))


def _twice(name: str, rows: Sequence[Row]) -> Iterator[Problem]:
    """Yield a problem for each code of a new lot that stands in the file before."""
    lines: dict[str, list[int]] = defaultdict(list)
    for row in rows:
        for column in ("lot", "contents_lot"):
            code = row[column]
            if code and lines[code]:
                reason = f"Line {lines[code][0]} makes a lot of this code already."
                yield Problem(name, row.line, column, reason, code)
            if code:
                lines[code].append(row.line)


def _facts_of_row(row: Row, register: _Register) -> dict[str, Any]:
    material = register.materials[row["material"]]
    facts = {"material": material, "location": register.places.get(row["location"])}
    facts["order_line"] = register.orders.get((row["order"], material.code))
    for column, field in QUANTITIES.items():
        if row[column] is not None:
            facts[field] = to_micro(row[column], row["unit"])
    if row["quantity"] is not None:
        facts["quantity_typed"] = f"{row['quantity']} {row['unit']}"
    return facts | {field: row[column] for column, field in PLAIN.items() if row[column] is not None}


def file_refused(name: str, problems: Sequence[Problem]) -> FileRefused:
    """Return the refusal with the first of the problems, each by its place and with what stands there."""
    rest = f"; the first {MOST_TOLD} are told" if len(problems) > MOST_TOLD else ""
    faults = [BadLine(place=_place(one), reason=one.reason, field="file") for one in problems[:MOST_TOLD]]
    refused = FileRefused(faults, name=name, rest=rest)
    refused.facts["count"] = len(problems)
    return refused


def _place(problem: Problem) -> str:
    """Return where it is and what stands there, in words."""
    line = f"Line {problem.line}" if problem.line else problem.file
    column = f", {problem.column}" if problem.column else ""
    value = f", “{problem.value}”" if problem.value else ""
    return f"{line}{column}{value}"
