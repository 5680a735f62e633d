"""Draws: parts of lots leave the stores for a brew or a packaging run, and what is left over comes back."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, TextField
from brewery.production.api.codes import WorkField
from brewery.production.services.by_the_sheet import StandIn
from brewery.production.services.work import draw_for, return_from
from inventory.api.codes import LotField, MaterialField
from inventory.api.events import LedgerRecording
from inventory.api.parts import LONGEST_REASON, ContentsCodeField, PartAsked, ReasonField
from inventory.models import Event

MOST_MATERIALS = 100


class StandInAsked(serializers.Serializer[Any]):
    """A lot of this draw that stands in for another material of the sheet, and why."""

    wanted = MaterialField()
    lot = LotField()
    reason = TextField(max_length=200)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a StandIn."""
        return StandIn(**attrs)


class DrawAsked(serializers.Serializer[Any]):
    """What is drawn into a brew or run. A lot that is not released or not fit needs an override, with its reason.

    For a brew by a sheet: what stands in for what, of which materials this `completes` what is drawn, and the `reason`
    where it is more or less than the sheet asks for.
    """

    happened_at = MomentField()
    into = WorkField(source="work")
    lines = PartAsked(many=True, source="parts")
    override_reason = ReasonField()
    reason = TextField(max_length=LONGEST_REASON, required=False)
    stands_in = StandInAsked(many=True, required=False)
    completes = serializers.ListField(child=MaterialField(), required=False, max_length=MOST_MATERIALS)


class Draws(LedgerRecording):
    """POST: draw lots into a brew or packaging run, all lines or none."""

    right: ClassVar[Right] = Right.DRAW
    asked = DrawAsked

    def record(self, **asked: Any) -> Event:
        """Draw them."""
        return draw_for(**asked)


class ReturnAsked(serializers.Serializer[Any]):
    """What comes back out of a brew or run, and where to.

    `unclean_reason` says why a brink is filled that was not cleaned, which takes a `contents_code` too.
    """

    happened_at = MomentField()
    out_of = WorkField(source="work")
    lines = PartAsked(many=True, source="parts")
    reason = ReasonField()
    contents_code = ContentsCodeField()
    unclean_reason = ReasonField()


class ReturnsToStock(LedgerRecording):
    """POST: bring back what a brew or packaging run did not use, all lines or none."""

    right: ClassVar[Right] = Right.DRAW
    asked = ReturnAsked

    def record(self, **asked: Any) -> Event:
        """Bring it back."""
        return return_from(**asked)
