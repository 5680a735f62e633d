"""Destructions: what is thrown away on purpose."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import LotQuantityAsked
from inventory.models import Event
from inventory.services.disposals import destroy


class DestructionAsked(LotQuantityAsked):
    """A quantity of a lot, where it lay, and why it was destroyed."""

    location = PlaceField()


class Destructions(LedgerRecording):
    """POST: destroy a quantity of a lot, whatever its disposition."""

    right: ClassVar[Right] = Right.DESTROY
    asked = DestructionAsked

    def record(self, **asked: Any) -> Event:
        """Destroy it."""
        return destroy(**asked)
