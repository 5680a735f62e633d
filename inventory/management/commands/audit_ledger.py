"""`manage.py audit_ledger`: recompute the whole ledger from its postings and name every row that disagrees."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.queries.audits import run_audits
from inventory.queries.audits.running import audit_names


class Command(BaseCommand):
    help = "Recompute balances, totals, links and reversals from the postings; exit 1 where a row disagrees."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--only", action="append", choices=audit_names(), default=[], help="run this audit only")

    def handle(self, *args: Any, **options: Any) -> None:
        found = 0
        for name, findings in run_audits(options["only"]):
            self.stdout.write(f"{'ok' if not findings else len(findings):>6}  {name.replace('_', ' ')}")
            for finding in findings:
                self.stdout.write(f"        {finding.table} {finding.row}: {finding.detail}")
            found += len(findings)
        if found:
            raise CommandError(f"{found} disagreements. Nothing was changed; the rows are named above.")
        self.stdout.write("The ledger agrees with its postings.")
