"""Bells: a write that may open or close alerts has them looked for within seconds, not at the next round.

Many writes of one sort that come together are one look. A bell that gets lost costs nothing but time: every kind is
looked for every few minutes all the same.
"""

from datetime import timedelta
from enum import StrEnum

from brewery.kernel.services.jobs import enqueue_soon

LOOK = "look_at_alerts"
WITHIN = timedelta(seconds=4)


class Bell(StrEnum):
    """One sort of write."""

    DISPOSITION = "disposition"
    READING = "reading"
    CERTIFICATE = "certificate"
    ORDER = "order"
    PLAN = "plan"
    RECALL = "recall"
    CLIMATE = "climate"
    DUTY = "duty"


def ring_for_alerts(bell: Bell) -> None:
    """All kinds of alert that say they follow such writes are looked for soon, if the caller's transaction commits."""
    enqueue_soon(LOOK, {"bell": bell.value}, WITHIN)
