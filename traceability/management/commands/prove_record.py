"""`manage.py prove_record`: put every lot through mass balance and completeness."""

from argparse import ArgumentParser
from collections.abc import Sequence
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.database.sets import portions
from inventory.models import Lot
from traceability.queries.proof import BALANCE, Doubt
from traceability.services.proofs import prove_and_keep


class Command(BaseCommand):
    help = "Prove every lot's mass balance and completeness, keep what is found; exit 1 where a balance does not close."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--brief", action="store_true", help="how many lots each question doubts, and not which")

    def handle(self, *args: Any, **options: Any) -> None:
        _, proof = prove_and_keep()
        self._tell_findings(() if options["brief"] else proof.doubts)
        self.stdout.write(f"{proof.lots} lots and {proof.links} links were put through.")
        for question, count in proof.by_question.items():
            self.stdout.write(f"{count or 'ok':>8}  {question.replace('_', ' ')}")
        if proof.by_question[BALANCE]:
            raise CommandError(f"{proof.by_question[BALANCE]} lots do not balance.")

    def _tell_findings(self, doubts: Sequence[Doubt]) -> None:
        codes = self._codes([doubt.lot for doubt in doubts])
        for doubt in doubts:
            self.stdout.write(f"{codes[doubt.lot]:<20}  {doubt.question.replace('_', ' ')}: {doubt.words}")

    def _codes(self, keys: list[int]) -> dict[int, str]:
        codes: dict[int, str] = {}
        for portion in portions(keys):
            codes |= dict(Lot.objects.filter(pk__in=portion).values_list("pk", "code"))
        return codes
