"""`manage.py epcis_document LOT --out FILE`: a lot's trace, or a period, as a document of EPCIS 2.0."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.errors import DomainError
from traceability.queries.asking import moment
from traceability.services.epcis_documents import document_of


class Command(BaseCommand):
    help = "Write the events of a lot's trace, or of a period, as an EPCIS 2.0 document in JSON-LD."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("lot", nargs="?", default="", help="the lot's code; leave it out for a period")
        parser.add_argument("--from", dest="since", default="", help="what happened from then on: 2026-05-01 00:00")
        parser.add_argument("--until", default="", help="what happened before then: 2026-06-01 00:00")
        parser.add_argument("--out", default="", help="the file to write; without it, what is printed")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            told = document_of(options["lot"], moment(options["since"]), moment(options["until"]))
        except DomainError as refusal:
            raise CommandError(str(refusal)) from refusal
        text = json.dumps(told, indent=2, ensure_ascii=False)
        if not options["out"]:
            self.stdout.write(text)
            return
        try:
            Path(options["out"]).write_text(text + "\n", "utf-8")
        except OSError as fault:
            raise CommandError(f"{options['out']} cannot be written: {fault.strerror}. Name another file.") from fault
        self.stdout.write(f"{len(told['epcisBody']['eventList'])} events are in {options['out']}.")
