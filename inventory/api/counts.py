"""Counts and gauges: what was found in a place."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import LotQuantityAsked
from inventory.models import Event
from inventory.services.counts import count_stock


class CountAsked(LotQuantityAsked):
    """How much of a lot was found in a place; nothing is a count too. A difference to the book needs a reason."""

    location = PlaceField()

    may_be_nothing = True

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read, with `counted_micro`."""
        read = super().validate(attrs)
        counted_micro = read.pop("quantity_micro")
        return {**read, "counted_micro": counted_micro}


class Counts(LedgerRecording):
    """POST: record what was counted in a store, or gauged in a tank."""

    right: ClassVar[Right] = Right.COUNT_STOCK
    asked = CountAsked

    def record(self, **asked: Any) -> Event:
        """Record the difference to the book."""
        return count_stock(**asked)
