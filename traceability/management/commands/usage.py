"""`manage.py usage FIRST LAST`: what materials did in a period, by material, product, brew or lot."""

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import IO, Any, cast

from django.core.management.base import BaseCommand, CommandError
from rich.console import Console
from rich.table import Table as Shown

from brewery.kernel.services.spreadsheets import csv_lines
from inventory.queries.usage import COLUMNS, Period
from traceability.queries.usage_report import By, UsageRow, usage_rows
from traceability.queries.usage_tables import MASSES, VOLUMES, Units, costs_of, usage_table


class Command(BaseCommand):
    help = "Tell what of each material was there, came, was used and lost in a period, and what is left."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("first", type=date.fromisoformat, help="the first day: 2026-03-01")
        parser.add_argument("last", type=date.fromisoformat, help="the last day: 2026-03-31")
        parser.add_argument("--by", choices=list(By), default=By.MATERIAL, help="by what (material)")
        parser.add_argument("--mass", choices=MASSES, default="kg", help="in what masses are told (kg)")
        parser.add_argument("--volume", choices=VOLUMES, default="L", help="in what volumes are told (L)")
        parser.add_argument("--csv", type=Path, default=None, help="write the table here instead")

    def handle(self, *args: Any, **options: Any) -> None:
        """Raises CommandError where the last day is before the first."""
        period, by = Period(options["first"], options["last"]), By(options["by"])
        if period.last < period.first:
            raise CommandError(f"{period.last} is before {period.first}: give a day that is not before the first.")
        rows, units = usage_rows(period, by), Units(options["mass"], options["volume"])
        if options["csv"]:
            table = usage_table(rows, by, units)
            options["csv"].write_text("".join(csv_lines(table)), encoding="utf-8")
            self.stdout.write(f"{len(rows)} rows written to {options['csv']}.")
        else:
            # A figure that is cut off is a wrong one, so the table is as wide as it must be.
            Console(file=cast(IO[str], self.stdout), width=1000).print(_shown(period, by, rows, units))


def _shown(period: Period, by: By, rows: list[UsageRow], units: Units) -> Shown:
    """Return the columns on which anything is; one a row of the report."""
    used = [name for name in COLUMNS if any(row.columns[name] for row in rows)]
    table = Shown(title=f"Usage {period}")
    for head in ("material", *(() if by is By.MATERIAL else (by.value,)), "unit"):
        table.add_column(head)
    for head in ("opening", *used, "closing", "cost"):
        table.add_column(head, justify="right")
    for row in rows:
        told = (row.opening_micro, *(row.columns[name] for name in used), row.closing_micro)
        amounts = ["" if micro is None else str(units.amount(micro, row.material)) for micro in told]
        part = [] if by is By.MATERIAL else [row.key]
        table.add_row(row.material.code, *part, units.of(row.material), *amounts, costs_of(row.cost))
    return table
