"""Packagings: beer from a tank and all that a run had drawn become one packaged lot."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.api.codes import RunField
from brewery.production.api.volumes import loss, micro_or_nothing
from brewery.production.services.packaging import package
from inventory.api.codes import MaterialField, PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import NewCodeField, ReasonField
from inventory.models import Event

MOST = 1_000_000_000
"""More kegs, cans or bottles than one run of any line fills."""


class PackagingAsked(serializers.Serializer[Any]):
    """How many were filled, of what, from which tank; the beer filled is the count times what one holds."""

    happened_at = MomentField()
    run = RunField()
    vessel = PlaceField()
    material = MaterialField()
    packaged_code = NewCodeField()
    count = serializers.IntegerField(min_value=1, max_value=MOST)
    loss = loss()
    location = PlaceField()
    best_before = serializers.DateField(required=False, allow_null=True, default=None)
    override_reason = ReasonField()


class Packagings(LedgerRecording):
    """POST: package what a run filled."""

    right: ClassVar[Right] = Right.PACKAGE
    asked = PackagingAsked

    def record(self, **asked: Any) -> Event:
        """Package it."""
        return package(loss_micro=micro_or_nothing(asked.pop("loss", None)), **asked)
