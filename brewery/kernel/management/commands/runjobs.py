"""`manage.py runjobs`: run jobs and keep the daily schedule without a broker, until told to stop."""

import os
import signal
import sys
from argparse import ArgumentParser
from threading import Event, Thread
from typing import Any

from django.core.management.base import BaseCommand

from brewery.kernel.jobs.loop import run_until, run_what_is_due


class Command(BaseCommand):
    help = "Run jobs beside the web process, where there is no Redis and so no worker. Stops on SIGTERM and Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--once", action="store_true", help="run what is due now, then stop")
        parser.add_argument(
            "--until-input-ends", action="store_true", help="stop when standard input is closed, as a parent's end does"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        stop = Event()
        stop_on_signals(stop)
        if options["until_input_ends"]:
            Thread(target=stop_at_end_of_input, args=[stop], daemon=True).start()
        if options["once"]:
            self.stdout.write(f"{run_what_is_due(stop)} jobs had their turn.")
        else:
            run_until(stop)


def stop_on_signals(stop: Event) -> None:
    """`stop` is set when the process is told to end."""

    def told(*_: Any) -> None:
        # The handler runs in the thread that may just hold the event's own lock, so another one sets it.
        Thread(target=stop.set).start()

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, told)


def stop_at_end_of_input(stop: Event) -> None:
    """`stop` is set once nobody holds the other end of standard input."""
    while os.read(sys.stdin.fileno(), 1024):
        pass
    stop.set()
