"""`manage.py demo`: an invented brewery with one season of records, ready to look at in a browser."""

import os
import socket
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from brewery.kernel.access import Role
from brewery.kernel.models import User
from brewery.kernel.services.embedded_jobs import start_embedded_jobs
from inventory.services.alerts import look_at
from traceability.services.closed_months import close_months
from traceability.services.sign_ins import keep_sign_ins

HOST = "127.0.0.1"
RECORDS = "fixtures_demo"
KEG = "PA-K30-033"


class Command(BaseCommand):
    help = "Load the invented brewery's season, check the ledger, and serve it. For development; safe to run again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="the port to serve at (8000)")
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument("--records", type=Path, default=None, help=f"another folder than {RECORDS}")
        parser.add_argument("--lot", default=KEG, help=f"the lot whose trace is shown ({KEG})")

    def handle(self, *args: Any, **options: Any) -> None:
        """Raises CommandError in production, where the port is taken, or where the records are refused."""
        if settings.PRODUCTION:
            raise CommandError("The demonstration makes sign-ins with a known password: it does not run in production.")
        if not options["no_serve"]:
            refuse_taken(options["port"])
        call_command("migrate", verbosity=0)
        records = options["records"] or Path(settings.BASE_DIR) / RECORDS
        call_command("load_records", records, stdout=self.stdout, stderr=self.stderr)
        call_command("audit_ledger", stdout=self.stdout)
        call_command("prove_record", "--brief", stdout=self.stdout)
        call_command("trace", options["lot"], stdout=self.stdout)
        self._tell(options["port"])
        if not options["no_serve"]:
            serve(options["port"])

    def _tell(self, port: int) -> None:
        sign_ins = keep_sign_ins(Path(settings.DATA_DIR))
        people = [User.objects.get(username=role) for role in (Role.ACCOUNTING, Role.QUALITY)]
        for words in close_months(*people):
            self.stdout.write(words)
        look_at()
        self.stdout.write(f"\nOpen http://localhost:{port} and sign in as one of: {', '.join(sign_ins.usernames)}.")
        self.stdout.write(f"Password of them all: {sign_ins.password}")
        self.stdout.flush()


def refuse_taken(port: int) -> None:
    """Raise CommandError where something listens at the port already, or it may not be used."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # as the server does: what just stopped is no bar
        try:
            probe.bind((HOST, port))
        except (OSError, OverflowError) as refused:
            why = getattr(refused, "strerror", None) or refused
            raise CommandError(f"Port {port} cannot be used ({why}): choose another with --port.") from refused


def serve(port: int) -> None:
    """Become the web server, with jobs beside it where there is no Redis: this process ends when it does."""
    connections.close_all()
    os.chdir(settings.BASE_DIR)
    if not settings.REDIS_URL:
        start_embedded_jobs()
    server = [sys.executable, "-m", "gunicorn", "brewery.project.wsgi", f"--bind={HOST}:{port}"]
    os.execv(sys.executable, [*server, "--worker-class=gthread", "--threads=8", "--log-level=warning"])  # noqa: S606 - our own Python
