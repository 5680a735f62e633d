"""Moves: a lot goes from one place to another."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import ContentsCodeField, LotQuantityAsked, ReasonField
from inventory.models import Event
from inventory.services.moves import move_stock


class MoveAsked(LotQuantityAsked):
    """A quantity of a lot, where from and where to; `contents_code` for a mixed silo that is not empty.

    `unclean_reason` says why a brink is filled that was not cleaned, which takes a `contents_code` too.
    """

    from_location = PlaceField()
    to_location = PlaceField()
    contents_code = ContentsCodeField()
    unclean_reason = ReasonField()


class Moves(LedgerRecording):
    """POST: move a quantity of a lot between stores, silos and brinks."""

    right: ClassVar[Right] = Right.MOVE_STOCK
    asked = MoveAsked

    def record(self, **asked: Any) -> Event:
        """Move it."""
        return move_stock(**asked)
