"""`manage.py prove_record`: put every lot through mass balance and completeness."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from brewery.kernel.clock import brewery_day
from brewery.kernel.database.sets import portions
from inventory.models import Lot
from traceability.queries.proof import BALANCE, prove


class Command(BaseCommand):
    help = "Put every lot through mass balance and completeness; exit 1 where a balance does not close."

    def handle(self, *args: Any, **options: Any) -> None:
        proof = prove(brewery_day())
        codes = self._codes([doubt.lot for doubt in proof.doubts])
        for doubt in proof.doubts:
            self.stdout.write(f"{codes[doubt.lot]:<20}  {doubt.question.replace('_', ' ')}: {doubt.words}")
        self.stdout.write(f"{proof.lots} lots and {proof.links} links were put through.")
        for question, count in proof.by_question.items():
            self.stdout.write(f"{count or 'ok':>8}  {question.replace('_', ' ')}")
        if proof.by_question[BALANCE]:
            raise CommandError(f"{proof.by_question[BALANCE]} lots do not balance.")

    def _codes(self, keys: list[int]) -> dict[int, str]:
        codes: dict[int, str] = {}
        for portion in portions(keys):
            codes |= dict(Lot.objects.filter(pk__in=portion).values_list("pk", "code"))
        return codes
