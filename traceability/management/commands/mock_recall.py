"""`manage.py mock_recall LOT --out DIR`: a whole drill from the terminal."""

import json
import uuid
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.errors import DomainError
from brewery.kernel.services.people import command_line
from brewery.kernel.services.spreadsheets import Table, csv_lines
from traceability.printing.recall_reports import report_as_pdf
from traceability.queries.asking import NAMES, kinds_by_name
from traceability.queries.lookup import lot_by_code
from traceability.queries.recall_files import (
    AFFECTED,
    CUSTOMERS,
    affected_rows,
    customer_rows,
    summary_as_data,
    summary_lines,
)
from traceability.queries.recalls import RecallView, recalls, view_of
from traceability.services.recall_tables import as_workbook
from traceability.services.recalls import close_recall, open_recall

FROM_THE_TERMINAL = "A drill from the terminal: the record was traced, and no customer was rung."


class Command(BaseCommand):
    help = "Open a mock recall of a lot, write what is affected and whom to ring as files, and close it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("lot", help="the lot's code")
        parser.add_argument("--out", type=Path, required=True, help="the folder to write to; it is made if need be")
        parser.add_argument("--follow", default="", help=f"kinds of link, separated by commas: {', '.join(NAMES)}")
        parser.add_argument("--hazard", default="Drill from the terminal.", help="what is said to be wrong with it")

    def handle(self, *args: Any, **options: Any) -> None:
        """Raises CommandError where the lot or a kind is unknown, or the folder cannot be written."""
        try:
            view = self._drill(options)
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        try:
            write_files(view, options["out"])
            write_report(view_of(recalls().get(pk=view.recall.pk)), options["out"])
        except OSError as failed:
            raise CommandError(f"{options['out']} cannot be written: {failed}.") from failed
        for line in summary_lines(view):
            self.stdout.write(line)

    def _drill(self, options: dict[str, Any]) -> RecallView:
        actor = command_line()
        kinds = kinds_by_name(options["follow"])
        drill = open_recall(
            lots=[lot_by_code(options["lot"])],
            hazard=options["hazard"],
            is_mock=True,
            follow=[name for name in NAMES if NAMES[name] in kinds],
            actor=actor,
            request_id=uuid.uuid4(),
        )
        view = view_of(recalls().get(pk=drill.pk))
        close_recall(recall=drill, reason=FROM_THE_TERMINAL, actor=actor, request_id=uuid.uuid4())
        return view


def write_files(view: RecallView, folder: Path) -> None:
    """The folder holds affected.csv, customers.csv, summary.txt and summary.json. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    tables = (("affected", AFFECTED, affected_rows(view)), ("customers", CUSTOMERS, customer_rows(view)))
    for name, header, rows in tables:
        (folder / f"{name}.csv").write_text("".join(csv_lines(Table(name, header, rows))), newline="")
    (folder / "summary.txt").write_text("\n".join(summary_lines(view)) + "\n")
    (folder / "summary.json").write_text(json.dumps(summary_as_data(view), indent=2, ensure_ascii=False) + "\n")


def write_report(view: RecallView, folder: Path) -> None:
    """The folder holds report.pdf and report.xlsx, which tell of the recall's end too. Raises OSError."""
    (folder / "report.pdf").write_bytes(report_as_pdf(view))
    (folder / "report.xlsx").write_bytes(as_workbook(view))
