"""Returns to suppliers: what was rejected goes back."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import LotQuantityAsked
from inventory.models import Event
from inventory.services.send_backs import send_back


class SendBackAsked(LotQuantityAsked):
    """A quantity of a rejected lot, where it lay, why it went back, and the number of the return note."""

    location = PlaceField()
    reference = TextField(max_length=60, required=False, allow_blank=True, default="")


class SendBacks(LedgerRecording):
    """POST: send a quantity of a rejected lot back to its supplier."""

    right: ClassVar[Right] = Right.SEND_BACK
    asked = SendBackAsked

    def record(self, **asked: Any) -> Event:
        """Send it back."""
        return send_back(**asked)
