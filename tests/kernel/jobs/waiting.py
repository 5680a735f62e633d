"""Waiting for a state that another process brings about."""

from collections.abc import Callable
from threading import Event
from time import monotonic
from typing import Any

GIVE_UP_AFTER_S = 90.0
LOOK_EVERY_S = 0.05


def wait_until(holds: Callable[[], Any]) -> None:
    """Return as soon as `holds` does. Raises TimeoutError after a minute and a half, by when it never will."""
    pause, deadline = Event(), monotonic() + GIVE_UP_AFTER_S
    while not holds():
        if monotonic() > deadline:
            raise TimeoutError("What was waited for did not happen.")
        pause.wait(LOOK_EVERY_S)
