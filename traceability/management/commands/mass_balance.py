"""`manage.py mass_balance LOT`: every part of a lot accounted for."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.errors import DomainError
from traceability.queries import mass_balance as balances
from traceability.queries.asking import moment
from traceability.queries.lookup import lot_by_code
from traceability.queries.report import mass_balance_as_data
from traceability.queries.text import lines_of_balance


class Command(BaseCommand):
    help = "Account for every part of a lot: on hand, in tanks, packaged, at customers, lost; exit 1 unless it closes."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("lot", help="the lot's code")
        parser.add_argument("--as-of", default="", help="as it was at this moment: 2026-05-14 09:30")
        parser.add_argument("--json", action="store_true", help="as JSON, the same as the API's answer")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            lot = lot_by_code(options["lot"])
            balance = balances.mass_balance(lot, as_of=moment(options["as_of"]))
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        if options["json"]:
            self.stdout.write(json.dumps(mass_balance_as_data(balance, lot), indent=2, ensure_ascii=False))
        else:
            for line in lines_of_balance(balance, lot):
                self.stdout.write(line)
        if not balance.closes:
            raise CommandError(f"The mass balance of lot {lot.code} does not close.")
