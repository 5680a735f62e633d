"""`manage.py duty SCHEME FIRST LAST`: the duty record of a period; with `--archive`, a closed one as files."""

import json
from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.errors import DomainError
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.schemes import CAUTION
from inventory.queries.usage import Period
from traceability.printing.duty_sheets import period_as_pdf
from traceability.queries.duty_archive import archive_of
from traceability.queries.duty_overview import named_lines
from traceability.queries.duty_periods import missing_for, record_under, standing_closing
from traceability.queries.duty_record import litres, totals
from traceability.queries.duty_report import record_as_data
from traceability.queries.duty_worksheets import worksheet_as_data
from traceability.services.duty_periods import refuse_no_period


class Command(BaseCommand):
    help = "Tell what beer in bond did in a period, and what is missing before it is closed."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("scheme", help=", ".join(SCHEMES))
        parser.add_argument("first", type=date.fromisoformat, help="the first day: 2026-03-01")
        parser.add_argument("last", type=date.fromisoformat, help="the last day: 2026-03-31")
        parser.add_argument("--json", action="store_true", help="as JSON, the same as the API's answer")
        parser.add_argument("--worksheet", action="store_true", help="the worksheet too, by the answers that are kept")
        parser.add_argument("--pdf", type=Path, default=None, help="write the period with its worksheet as PDF here")
        parser.add_argument("--archive", type=Path, default=None, help="write the archive of the closed period here")

    def handle(self, *args: Any, **options: Any) -> None:
        """Raises CommandError where there is no such period, or none that is closed."""
        scheme, period = options["scheme"], Period(options["first"], options["last"])
        try:
            refuse_no_period(scheme, period)
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        rows = record_under(scheme, period)
        if options["json"]:
            told = {**record_as_data(period, rows), "caution": CAUTION}
            self.stdout.write(json.dumps(told, indent=2, ensure_ascii=False))
        else:
            self._tell(scheme, period, totals(rows))
        if options["worksheet"]:
            self._worksheet(scheme, period)
        if options["pdf"]:
            options["pdf"].write_bytes(period_as_pdf(scheme, period))
            self.stdout.write(f"Written to {options['pdf']}.")
        if options["archive"]:
            self._archive(scheme, period, options["archive"])

    def _tell(self, scheme: str, period: Period, sums: dict[str, int]) -> None:
        closing = standing_closing(scheme, period)
        self.stdout.write(f"{period}, {scheme}: {'closed, ' + closing.digest if closing else 'open'}. {CAUTION}")
        for name, words in named_lines().items():
            if sums[name] or name in ("opening", "closing"):
                self.stdout.write(f"{words:<55} {litres(sums[name]):>16} L")
        for one in [] if closing else missing_for(scheme, period):
            self.stdout.write(f"{'Must be settled: ' if one.must else ''}{one.words}")

    def _worksheet(self, scheme: str, period: Period) -> None:
        told = worksheet_as_data(scheme, period)
        sheet = told["sheet"]
        if sheet is None:
            raise CommandError(told["refused"])
        for line in sheet["lines"]:
            cells = "  ".join(
                f"{column['label']} {line['cells'].get(column['key'], '')}" for column in sheet["columns"]
            )
            self.stdout.write(f"{line['number']:>4}  {line['label']:<50}  {cells}")
        for check in sheet["checks"]:
            self.stdout.write(f"{'Agrees' if check['agrees'] else 'DOES NOT AGREE'}: {check['words']}")
        duty = sheet["duty"]
        self.stdout.write(f"Duty: {duty['amount']} {duty['currency']} on {duty['quantity']} {duty['unit']}")
        for words in (*duty["notes"], *told["doubts"]):
            self.stdout.write(words)

    def _archive(self, scheme: str, period: Period, path: Path) -> None:
        closing = standing_closing(scheme, period)
        if closing is None:
            raise CommandError(f"{period} is not closed under {scheme}: close it first.")
        path.write_bytes(archive_of(closing))
        self.stdout.write(f"Written to {path}.")
