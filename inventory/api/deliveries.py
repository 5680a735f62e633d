"""Deliveries: lots come in from a supplier."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityPair, TextField, refuse_other_unit
from inventory.api.codes import MaterialField, PartyField, PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import ContentsCodeField, NewCodeField
from inventory.models import Event, Party
from inventory.services.deliveries import ReceivedLot, receive_delivery

OLDEST_GENERATION = 999


class DeliveryLineAsked(QuantityPair):
    """One lot of the delivery. `generation` is for yeast only; `contents_code` for a mixed silo that is not empty."""

    material = MaterialField()
    lot_code = NewCodeField()
    location = PlaceField()
    supplier_lot = TextField(max_length=60, required=False, allow_blank=True, default="")
    best_before = serializers.DateField(required=False, allow_null=True, default=None)
    generation = serializers.IntegerField(
        min_value=1, max_value=OLDEST_GENERATION, required=False, allow_null=True, default=None
    )
    contents_code = ContentsCodeField()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a ReceivedLot. Raises ValidationError where the unit does not measure the material."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["material"].base_unit)
        return ReceivedLot(code=read.pop("lot_code"), quantity_micro=amount.micro, **read)


class DeliveryAsked(serializers.Serializer[Any]):
    """What came in from a supplier, with the number of its delivery note."""

    happened_at = MomentField()
    supplier = PartyField(role=Party.Role.SUPPLIER)
    note_number = TextField(max_length=60)
    lines = DeliveryLineAsked(many=True)


class Deliveries(LedgerRecording):
    """POST: receive a delivery; every line becomes a lot."""

    right: ClassVar[Right] = Right.RECEIVE
    asked = DeliveryAsked

    def record(self, **asked: Any) -> Event:
        """Receive it."""
        return receive_delivery(**asked)
