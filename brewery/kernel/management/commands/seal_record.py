"""`manage.py seal_record`: put everything recorded by now under a seal."""

from typing import Any

from django.core.management.base import BaseCommand

from brewery.kernel.clock import on_the_wall
from brewery.kernel.services.seals import seal_record


class Command(BaseCommand):
    help = "Put everything recorded since the last seal under a new one, and say which it is."

    def handle(self, *args: Any, **options: Any) -> None:
        seal = seal_record()
        if seal is None:
            self.stdout.write("Nothing is recorded yet, so there is nothing to seal.")
            return
        self.stdout.write(f"{seal}  {on_the_wall(seal.sealed_at)}  {seal.requests} requests, {seal.rows} rows")
        self.stdout.write(seal.digest)
