"""Customer returns: packaged beer comes back."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.production.models import CustomerReturn
from brewery.production.services.dispatch import take_back
from inventory.api.codes import PartyField
from inventory.api.events import LedgerRecording
from inventory.api.parts import PartAsked, ReasonField
from inventory.models import Event, Party


class CustomerReturnAsked(serializers.Serializer[Any]):
    """What comes back from a customer, where it is put, and why."""

    happened_at = MomentField()
    customer = PartyField(role=Party.Role.CUSTOMER)
    lines = PartAsked(many=True, source="parts")
    reason = ReasonField()
    cause = serializers.ChoiceField(
        choices=CustomerReturn.Cause.choices, required=False, default=CustomerReturn.Cause.OTHER
    )


class CustomerReturns(LedgerRecording):
    """POST: take packaged beer back, all lines or none."""

    right: ClassVar[Right] = Right.DISPATCH
    asked = CustomerReturnAsked

    def record(self, **asked: Any) -> Event:
        """Take it back."""
        return take_back(**asked)
