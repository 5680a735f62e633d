"""`manage.py test`: the test suite. Whatever follows is handed to pytest as it stands; without it, on every core."""

import os
import subprocess
import sys
from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

WHOLE_SUITE = ("-n", "auto", "--dist", "loadfile", "--migrations")
"""On every core, each file on one of them: what a file's tests share is made once. Migrations make the tables."""


class Command(BaseCommand):
    help = "Runs the test suite; what follows is handed to pytest, for example: test tests/inventory -x"

    def run_from_argv(self, argv: list[str]) -> None:
        """Leave with pytest's own exit code, never having parsed its options."""
        sys.exit(run_pytest(argv[2:] or WHOLE_SUITE))

    def handle(self, *args: Any, **options: Any) -> None:
        """Run the whole suite and leave with its exit code."""
        sys.exit(run_pytest(WHOLE_SUITE))


def run_pytest(arguments: Sequence[str]) -> int:
    """Return the exit code of pytest in a process of its own, with the tests' settings and not these."""
    variables = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
    command = [sys.executable, "-m", "pytest", *arguments]
    return subprocess.run(command, cwd=settings.BASE_DIR, env=variables, check=False).returncode  # noqa: S603 - typed by a developer
