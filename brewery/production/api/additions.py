"""Additions to a tank: dry hops, finings, salts, liquor."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.api.volumes import volume
from brewery.production.services.additions import add_to_tank
from inventory.api.codes import PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import NewCodeField, PartAsked, ReasonField
from inventory.models import Event


class AdditionAsked(serializers.Serializer[Any]):
    """What goes into the tank; `volume_after` where the volume is another afterwards."""

    happened_at = MomentField()
    vessel = PlaceField()
    contents_code = NewCodeField()
    lines = PartAsked(many=True, source="additions")
    volume_after = volume(required=False)
    override_reason = ReasonField()


class Additions(LedgerRecording):
    """POST: add to what a tank holds; it then holds a new lot."""

    right: ClassVar[Right] = Right.CELLAR
    asked = AdditionAsked

    def record(self, **asked: Any) -> Event:
        """Add it."""
        after = asked.pop("volume_after", None)
        return add_to_tank(volume_after_micro=after.micro if after else None, **asked)
