"""`manage.py jobs`: what was run lately, and what came of it."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from brewery.kernel.clock import on_the_wall
from brewery.kernel.models import Job

WIDEST_OUTCOME = 100


class Command(BaseCommand):
    help = "List recent jobs, the newest first: number, name, state, attempts, when enqueued, and the outcome."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--limit", type=int, default=20, help="how many (20)")
        parser.add_argument("--state", choices=Job.State.values, help="only those in this state")

    def handle(self, *args: Any, **options: Any) -> None:
        jobs = Job.objects.filter(state=options["state"]) if options["state"] else Job.objects.all()
        for job in jobs[: options["limit"]]:
            when = on_the_wall(job.created_at)
            self.stdout.write(f"{job.pk:>8}  {job.name:<24} {job.state:<8} {job.attempts}  {when}  {outcome_of(job)}")


def outcome_of(job: Job) -> str:
    """Return on one line what the job came to: its error, or the beginning of its result."""
    text = job.error or ("" if job.result is None else json.dumps(job.result))
    return " ".join(text.split())[:WIDEST_OUTCOME]
