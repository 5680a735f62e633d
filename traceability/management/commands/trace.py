"""`manage.py trace LOT`: what a lot is made of, or where all of it went."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.errors import DomainError
from traceability.queries.asking import NAMES, kinds_by_name, moment
from traceability.queries.graph import Direction
from traceability.queries.lookup import lot_by_code
from traceability.queries.report import report_on, trace_as_data
from traceability.queries.text import lines_of_trace
from traceability.queries.trace import trace


class Command(BaseCommand):
    help = "Trace a lot back to its raw lots and suppliers, or forward to packaged lots, tanks and customers."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("lot", help="the lot's code")
        parser.add_argument("--forward", action="store_true", help="where it went, instead of what it is made of")
        parser.add_argument("--follow", default="", help=f"kinds of link, separated by commas: {', '.join(NAMES)}")
        parser.add_argument("--as-of", default="", help="as it was at this moment: 2026-05-14 09:30")
        parser.add_argument("--json", action="store_true", help="as JSON, the same as the API's answer")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            answer = trace(
                lot_by_code(options["lot"]),
                Direction.FORWARD if options["forward"] else Direction.BACK,
                kinds=kinds_by_name(options["follow"]),
                as_of=moment(options["as_of"]),
            )
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        report = report_on(answer)
        if options["json"]:
            self.stdout.write(json.dumps(trace_as_data(report), indent=2, ensure_ascii=False))
            return
        for line in lines_of_trace(report):
            self.stdout.write(line)
