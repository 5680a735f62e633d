"""Loading: a folder of records is written through the services, in the order in which it happened.

One transaction holds the whole folder. A record of one file uses what a record of another made, and a brew without
its delivery is no history, so a folder is written whole or not at all.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import DataError, IntegrityError, transaction
from django.utils import timezone

from brewery.kernel.database.refusals import broken_rule, in_words
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.people import command_line
from brewery.kernel.tables.problems import Problem
from brewery.production.services.records.calls.table import CALLS
from brewery.production.services.records.codes import Codes
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.problems import Misfit, RecordsRefused
from brewery.production.services.records.reading import read_folder
from brewery.production.services.records.repetition import Difference, Earlier
from brewery.production.services.records.rows import Record, in_counting_order

MOST_REFUSALS = 50
_OF_A_LIST = re.compile(r"(\w+)[\[.](\d+)\]?\.?(\w*)")
"""What a service calls a field of one line: "lines[2].quantity", "readings.0"."""

Progress = Callable[[int, int], None]


@dataclass
class Tally:
    """What became of one file: its records and lines, and how many records were new or there already."""

    file: str
    records: int = 0
    lines: int = 0
    new: int = 0
    already_there: int = 0


def load_folder(folder: Path, *, check: bool = False, progress: Progress = lambda done, of: None) -> list[Tally]:
    """Everything in the folder is on record, each record once however often it is loaded; nothing else has changed.

    With `check` all of it is tried and nothing is written. `progress` hears how many records are done, of how many.
    Raises RecordsRefused, with nothing written: for files that cannot be read, and for records that a service refuses
    or that were handed over before with other content.
    """
    records = in_order(read_folder(folder))
    with transaction.atomic(durable=True), timezone.override(settings.BREWERY_TIME_ZONE):
        tallies = _Load(records).run(progress)
        transaction.set_rollback(check)
    return tallies


def in_order(records: Sequence[Record]) -> list[Record]:
    """Return the records as they happened; at the same time by kind, then by number, whatever the files' order is."""
    order = {name: place for place, name in enumerate(KINDS)}
    return sorted(
        records,
        key=lambda record: (record.happened_at, order[record.kind.name], in_counting_order(record.number)),
    )


class _Load:
    """One load under way."""

    def __init__(self, records: Sequence[Record]) -> None:
        self._records = records
        self._earlier = Earlier([record.request_id for record in records])
        self._codes = Codes()
        self._actor = command_line()
        self._problems: list[Problem] = []
        self._not_made: dict[str, str] = {}
        self._tallies: dict[str, Tally] = {}

    def run(self, progress: Progress) -> list[Tally]:
        """Write all records. Raises RecordsRefused with up to `MOST_REFUSALS` problems."""
        for done, record in enumerate(self._records, start=1):
            problems = self._problems_of(record)
            if problems:
                self._note(record, problems)
            if len(self._problems) >= MOST_REFUSALS:
                raise RecordsRefused(self._problems, stopped=done < len(self._records))
            progress(done, len(self._records))
        if self._problems:
            raise RecordsRefused(self._problems)
        return [self._tallies[name] for name in KINDS if name in self._tallies]

    def _problems_of(self, record: Record) -> list[Problem]:
        """Write the record, or find it there already; return what is wrong with it, if anything is."""
        try:
            problem = self._load(record)
            return [problem] if problem else []
        except Misfit as misfit:
            reason = self._not_made.get(misfit.missing, misfit.reason)
            return [Problem(record.kind.file, misfit.line, misfit.column, reason)]
        except DomainError as refusal:
            return [_problem_of_refusal(record, fault) for fault in refusal.all_faults() or [refusal]]
        except (IntegrityError, DataError) as refusal:
            rule = broken_rule(refusal)
            reason = in_words(rule) if rule else f"The database refuses: {str(refusal).splitlines()[0]}."
            return [Problem(record.kind.file, record.line, record.kind.key, reason)]

    def _load(self, record: Record) -> Problem | None:
        there = self._codes.handed_over_before = record.request_id in self._earlier
        call = CALLS[record.kind.name](record, self._codes)
        actor = self._actor_of(record)
        if there:
            difference = self._earlier.difference(record.request_id, call, actor)
            if difference:
                return _problem_of_difference(record, difference)
        else:
            call.service(**call.content, actor=actor, request_id=record.request_id)
            if record.kind.name == "reversals":
                self._codes.forget_lots()
        self._count(record, there)
        return None

    def _actor_of(self, record: Record) -> User:
        return self._actor if record.kind.is_register else self._codes.person(record.rows[0], "recorded_by")

    def _count(self, record: Record, there: bool) -> None:
        tally = self._tallies.setdefault(record.kind.name, Tally(record.kind.file))
        tally.records += 1
        tally.lines += len(record.rows)
        tally.already_there += there
        tally.new += not there

    def _note(self, record: Record, problems: Sequence[Problem]) -> None:
        """The problems are told at the end, and what needs the record's output says so instead of wondering."""
        self._problems += problems
        for code, line in record.made().items():
            self._not_made[code] = f"{code!r} was to come from {record.kind.file}, line {line}, which is refused."


def _problem_of_refusal(record: Record, refusal: DomainError) -> Problem:
    """Return the refusal with the cell that it is about, as far as the service says."""
    if listed := _OF_A_LIST.fullmatch(refusal.field or ""):
        return _problem_of_line(record, refusal, *listed.groups())
    facts = [refusal.facts.get(name) for name in ("lot", "value", "location", "vessel")]
    codes = [getattr(fact, "code", fact) for fact in facts if fact]
    if record.kind.lists and refusal.field and (named := record.place_of(refusal.field)):
        return Problem(record.kind.file, named[0], record.kind.column_called(refusal.field, "amount"), str(refusal))
    line, column = next((found for code in codes if (found := record.place_of(code))), (record.line, ""))
    if not column or refusal.field not in ("lot", "code"):
        field = refusal.field or ""
        column = record.kind.column_called(column.removesuffix("lot") + field, field)
    return Problem(record.kind.file, line, column, str(refusal))


def _problem_of_line(record: Record, refusal: DomainError, name: str, index: str, field: str) -> Problem:
    """Return the refusal of one of the lines that a service was handed as a list."""
    rows = record.listed(name)
    row = rows[int(index)] if int(index) < len(rows) else record.rows[0]
    return Problem(record.kind.file, row.line, record.kind.column_called(field or name, name), str(refusal))


def _problem_of_difference(record: Record, difference: Difference) -> Problem:
    column = record.kind.column_called(difference.path, difference.path.rpartition(".")[2])
    line = record.rows[difference.place].line if difference.of == len(record.rows) else record.line
    reason = f"Record {record.number!r} was loaded before with another content in this column"
    if column == record.kind.key:
        reason = f"Record {record.number!r} was loaded before with another number of lines"
    return Problem(record.kind.file, line, column, f"{reason}. Give it back its content, or give this a new number.")
