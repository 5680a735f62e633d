"""Dilutions: deaerated liquor comes in beside the beer of a tank."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.services.dilutions import dilute
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import NewCodeField, PartAsked, ReasonField
from inventory.models import Event


class DilutionAsked(serializers.Serializer[Any]):
    """The liquor that comes in: a lot of water, where it lies, and how much; the volume grows by it."""

    happened_at = MomentField()
    vessel = PlaceField()
    contents_code = NewCodeField()
    liquor = PartAsked()
    override_reason = ReasonField()


class Dilutions(LedgerRecording):
    """POST: dilute what a tank holds; it then holds a new lot."""

    right: ClassVar[Right] = Right.CELLAR
    asked = DilutionAsked

    def record(self, **asked: Any) -> Event:
        """Dilute it."""
        return dilute(**asked)
