"""Filtrations: beer goes through a filter into another tank."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.api.volumes import VolumeAsked, loss, micro_or_nothing
from brewery.production.services.filtrations import filter_beer
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import NewCodeField, PartAsked, ReasonField
from inventory.models import Event


class FiltrationAsked(VolumeAsked):
    """What arrives in the other tank, what is lost besides, and the filter aid that it met."""

    happened_at = MomentField()
    from_vessel = PlaceField()
    to_vessel = PlaceField()
    contents_code = NewCodeField()
    loss = loss()
    aids = PartAsked(many=True, required=False, default=())
    override_reason = ReasonField()
    unclean_reason = ReasonField()


class Filtrations(LedgerRecording):
    """POST: filter beer into another tank."""

    right: ClassVar[Right] = Right.CELLAR
    asked = FiltrationAsked

    def record(self, **asked: Any) -> Event:
        """Filter it."""
        return filter_beer(loss_micro=micro_or_nothing(asked.pop("loss", None)), **asked)
