"""Transfers: beer or wort goes from tank to tank; kraeusen and blends go in beside other beer."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.api.volumes import VolumeAsked, loss, micro_or_nothing
from brewery.production.services.transfers import KINDS, transfer
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import ContentsCodeField, ReasonField
from inventory.models import Event

TRANSFER_KINDS = [(kind.value, kind.label) for kind in KINDS]


class TransferAsked(VolumeAsked):
    """What arrives in the other tank, and what leaves the first besides."""

    happened_at = MomentField()
    kind = serializers.ChoiceField(choices=TRANSFER_KINDS, default=Event.Kind.TRANSFER)
    from_vessel = PlaceField()
    to_vessel = PlaceField()
    contents_code = ContentsCodeField()
    loss = loss()
    override_reason = ReasonField()
    unclean_reason = ReasonField()


class Transfers(LedgerRecording):
    """POST: transfer from tank to tank."""

    right: ClassVar[Right] = Right.CELLAR
    asked = TransferAsked

    def record(self, **asked: Any) -> Event:
        """Transfer it."""
        return transfer(loss_micro=micro_or_nothing(asked.pop("loss", None)), **asked)
