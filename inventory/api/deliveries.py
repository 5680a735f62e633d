"""Deliveries: lots come in from a supplier."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityPair, TextField, refuse_other_unit
from brewery.kernel.api.views import RecordDetail, RecordList
from inventory.api.codes import MaterialField, PartyField, PlaceField
from inventory.api.delivery_drafts import DeliveryFilters, DraftAnswer
from inventory.api.events import LedgerRecording
from inventory.api.parts import OLDEST_GENERATION, ContentsCodeField, NewCodeField, ReasonField
from inventory.models import Event, Party
from inventory.queries.deliveries import booked_deliveries
from inventory.services.deliveries import ReceivedLot, receive_delivery


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
    unclean_reason = ReasonField()


class Deliveries(RecordList, LedgerRecording):
    """Deliveries that were booked from a draft, the last first; POST receives one at once, and answers its event.

    What was received at once is found among the events. The lines are listed at delivery-drafts/{id}/lines/.
    """

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    queryset = booked_deliveries()
    serializer_class = DraftAnswer
    asked = DeliveryAsked
    filterset_class = DeliveryFilters

    def record(self, **asked: Any) -> Event:
        """Receive it."""
        return receive_delivery(**asked)


class OneDelivery(RecordDetail):
    """One booked delivery by its number."""

    queryset = booked_deliveries()
    serializer_class = DraftAnswer
    lookup_field = "pk"
    thing: ClassVar[str] = "delivery"
