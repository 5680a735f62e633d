"""`manage.py load_records DIR`: CSV files that people hand over become part of the record."""

import time
from argparse import ArgumentParser
from collections.abc import Sequence
from pathlib import Path
from typing import IO, Any, cast

from django.core.management.base import BaseCommand, CommandError
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from brewery.production.services.records.loading import Tally, load_folder
from brewery.production.services.records.problems import RecordsRefused


class Command(BaseCommand):
    help = (
        "Load a folder of CSV files through the services: all of it, or nothing where anything is wrong. "
        "What was loaded before is found there already and not written again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, metavar="DIR", help="the folder with deliveries.csv, draws.csv, ...")
        parser.add_argument("--check", action="store_true", help="try everything and write nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Raises CommandError, with one line a problem before it, where the folder is refused."""
        started = time.monotonic()
        try:
            tallies = self._load(options["folder"], options["check"])
        except RecordsRefused as refused:
            raise self._refusal(refused) from refused
        self._report(tallies, time.monotonic() - started, checked_only=options["check"])

    def _load(self, folder: Path, check: bool) -> list[Tally]:
        console = Console(stderr=True)
        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
        with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
            task = bar.add_task("Checking" if check else "Loading", total=None)
            return load_folder(
                folder, check=check, progress=lambda done, of: bar.update(task, completed=done, total=of)
            )

    def _refusal(self, refused: RecordsRefused) -> CommandError:
        for problem in sorted(refused.problems) if not refused.stopped else refused.problems:
            self.stderr.write(str(problem))
        count = len(refused.problems)
        told = f"{count} problem{'s' if count != 1 else ''}"
        rest = " The records after these were not tried." if refused.stopped else ""
        return CommandError(f"Nothing was written: {told}, told above.{rest}")

    def _report(self, tallies: Sequence[Tally], seconds: float, *, checked_only: bool) -> None:
        table = Table("file", "records", "lines", "new", "already there")
        for column in table.columns[1:]:
            column.justify = "right"
        for tally in tallies:
            table.add_row(tally.file, *map(str, (tally.records, tally.lines, tally.new, tally.already_there)))
        Console(file=cast(IO[str], self.stdout)).print(table)
        records, new = sum(tally.records for tally in tallies), sum(tally.new for tally in tallies)
        done = "would be written" if checked_only else "written"
        self.stdout.write(f"{records} records: {new} {done}, {records - new} already there, in {seconds:.1f} s.")
