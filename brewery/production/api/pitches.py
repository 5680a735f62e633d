"""Pitches: yeast goes into the wort."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.services.pitches import pitch
from inventory.api.codes import MaterialField, PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import NewCodeField, PartAsked, ReasonField
from inventory.models import Event


class PitchAsked(serializers.Serializer[Any]):
    """The tank, the beer that it becomes, and the yeast."""

    happened_at = MomentField()
    vessel = PlaceField()
    beer = MaterialField()
    contents_code = NewCodeField()
    yeasts = PartAsked(many=True)
    override_reason = ReasonField()


class Pitches(LedgerRecording):
    """POST: pitch a tank."""

    right: ClassVar[Right] = Right.CELLAR
    asked = PitchAsked

    def record(self, **asked: Any) -> Event:
        """Pitch it."""
        return pitch(**asked)
