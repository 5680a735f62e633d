"""Samples: what the laboratory takes."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import LotQuantityAsked
from inventory.models import Event
from inventory.services.disposals import take_sample


class SampleAsked(LotQuantityAsked):
    """A quantity of a lot, where it lay, and the laboratory that has it now."""

    location = PlaceField()
    laboratory = PlaceField()


class Samples(LedgerRecording):
    """POST: take a sample of a lot, whatever its disposition."""

    right: ClassVar[Right] = Right.SAMPLE
    asked = SampleAsked

    def record(self, **asked: Any) -> Event:
        """Take it."""
        return take_sample(**asked)
