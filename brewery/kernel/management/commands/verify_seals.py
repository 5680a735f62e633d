"""`manage.py verify_seals`: look whether every sealed row is still as it was sealed, and name each that is not."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.models import Seal
from brewery.kernel.queries.seals import broken


class Command(BaseCommand):
    help = "Recompute every seal; exit 1 where a row was changed, added or removed, or the chain does not hold."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seal", metavar="DIGEST", help="a seal printed on a report; it must be in the chain")

    def handle(self, *args: Any, **options: Any) -> None:
        found = 0
        for finding in broken():
            self.stdout.write(str(finding))
            found += 1
        if options["seal"] and not Seal.objects.filter(digest=options["seal"]).exists():
            self.stdout.write(f"No seal of the chain is {options['seal']}.")
            found += 1
        if found:
            raise CommandError(f"{found} findings, named above. Nothing was changed.")
        self.stdout.write(f"{Seal.objects.count()} seals hold.")
