"""Discards: yeast that is poured away."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.production.services.discards import discard_yeast
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import LotQuantityAsked
from inventory.models import Event


class DiscardAsked(LotQuantityAsked):
    """How much of a yeast lot, where it lay, and why it was poured away."""

    location = PlaceField()


class Discards(LedgerRecording):
    """POST: discard yeast, whatever its disposition."""

    right: ClassVar[Right] = Right.CELLAR
    asked = DiscardAsked

    def record(self, **asked: Any) -> Event:
        """Discard it."""
        return discard_yeast(**asked)
