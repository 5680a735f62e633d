"""Delivery drafts: a delivery is written down as it comes in; who changes it says which version was seen."""

from typing import Any, ClassVar
from uuid import UUID

import django_filters
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, PartsField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.versions import Versioned, version_of
from brewery.kernel.api.views import Changing, RecordDetail, Recording, RecordList
from brewery.kernel.errors import NotFound
from brewery.kernel.models import User
from inventory.api.codes import PartyField
from inventory.models import Delivery, Party
from inventory.queries.deliveries import deliveries
from inventory.services.bookings import book_delivery
from inventory.services.delivery_drafts import HEADER, change_delivery, discard_delivery, open_delivery

MILLI = 1000
OPENED_WITH = ("supplier", "arrived_at")


class DeliveryFilters(django_filters.FilterSet):
    """Narrows the list of deliveries."""

    supplier = CodeFilter(field_name="supplier__code")
    note_number = CodeFilter(field_name="note_number", lookup_expr="iexact")

    class Meta:
        model = Delivery
        fields: tuple[str, ...] = ()


class DraftAnswer(serializers.Serializer[Delivery]):
    """The head of a delivery. `event` is what booking it made; `pallet` the SSCC that is being unloaded."""

    id = serializers.IntegerField()
    state = serializers.ChoiceField(choices=Delivery.State.choices)
    version = serializers.IntegerField()
    supplier = serializers.CharField(source="supplier.code")
    note_number = serializers.CharField()
    carrier = serializers.CharField()
    vehicle = serializers.CharField()
    arrived_at = serializers.DateTimeField()
    temperature_c = PartsField(MILLI, source="temperature_milli_c", allow_null=True)
    condition = serializers.CharField()
    condition_note = serializers.CharField()
    same_note_confirmed = serializers.BooleanField()
    pallet = serializers.CharField()
    opened_by = serializers.CharField(source="opened_by.username")
    opened_at = serializers.DateTimeField()
    changed_at = serializers.DateTimeField()
    line_count = serializers.IntegerField()
    event = serializers.IntegerField(source="event_id", allow_null=True)


class DraftChanges(serializers.Serializer[Any]):
    """What of the head is to be changed; what is left out stays."""

    supplier = PartyField(role=Party.Role.SUPPLIER, required=False)
    note_number = TextField(max_length=60, required=False, allow_blank=True)
    carrier = TextField(max_length=80, required=False, allow_blank=True)
    vehicle = TextField(max_length=40, required=False, allow_blank=True)
    arrived_at = MomentField(required=False)
    temperature_c = PartsField(MILLI, source="temperature_milli_c", required=False, allow_null=True)
    condition = serializers.ChoiceField(choices=Delivery.Condition.choices, required=False, allow_blank=True)
    condition_note = TextField(max_length=200, required=False, allow_blank=True)
    same_note_confirmed = serializers.BooleanField(required=False)
    pallet = TextField(max_length=18, required=False, allow_blank=True)


class DraftAsked(DraftChanges):
    """A new draft."""

    supplier = PartyField(role=Party.Role.SUPPLIER)
    arrived_at = MomentField()


class NothingAsked(serializers.Serializer[Any]):
    """The address and the headers say it all: the body is an empty object."""


class DraftFilters(DeliveryFilters):
    """Narrows the list of deliveries of every state."""

    state = django_filters.ChoiceFilter(choices=Delivery.State.choices)


class DraftShown(Versioned):
    """A view whose answer is the head of a delivery, with its version as ETag."""

    def in_full(self, made: Delivery) -> Delivery:
        """Return the delivery as it is now."""
        fresh = deliveries().get(pk=made.pk)
        self.shown_version = fresh.version
        return fresh


class DeliveryDrafts(DraftShown, RecordList, Recording[Delivery]):
    """Deliveries of every state, drafts among them, the last opened first; POST opens a draft."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    queryset = deliveries()
    serializer_class = answered = DraftAnswer
    asked = DraftAsked
    filterset_class = DraftFilters

    def record(self, **asked: Any) -> Delivery:
        """Open it."""
        header = {name: asked.pop(name) for name in HEADER if name in asked and name not in OPENED_WITH}
        return open_delivery(header=header, **asked)


class OneDeliveryDraft(DraftShown, RecordDetail, Changing[Delivery]):
    """One delivery by its number; PATCH changes the head of a draft."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "PATCH": Right.RECEIVE}
    queryset = deliveries()
    serializer_class = answered = DraftAnswer
    changed = DraftChanges
    lookup_field = "pk"
    thing: ClassVar[str] = "delivery"
    needs_version: ClassVar[tuple[str, ...]] = ("PATCH",)

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Show it."""
        delivery: Delivery = self.get_object()
        self.shown_version = delivery.version
        return Response(self.get_serializer(delivery).data)

    def change(self, *, changes: dict[str, Any], actor: User, request_id: UUID) -> Delivery:
        """Change it, unless anything of it was changed since the version that was seen."""
        return change_delivery(
            delivery=delivery_of(self.kwargs["pk"]),
            version=version_of(self.request),
            changes=changes,
            actor=actor,
            request_id=request_id,
            whole=True,
        )


class DraftRecording(DraftShown, Recording[Delivery]):
    """POST to a delivery that the address names, as of the version that was seen; the answer is its head."""

    right: ClassVar[Right] = Right.RECEIVE
    asked: ClassVar[type[serializers.Serializer[Any]]] = NothingAsked
    answered: ClassVar[type[serializers.BaseSerializer[Any]]] = DraftAnswer
    needs_version: ClassVar[tuple[str, ...]] = ("POST",)
    queryset = deliveries()

    def draft(self) -> Delivery:
        """Return the delivery that the address names. Raises NotFound."""
        return delivery_of(self.kwargs["pk"])


class DraftBookings(DraftRecording):
    """POST: book the delivery; every line becomes a lot, or all that stands in the way is told."""

    def record(self, **asked: Any) -> Delivery:
        """Book it."""
        return book_delivery(delivery=self.draft(), version=version_of(self.request), **asked)


class DraftDiscards(DraftRecording):
    """POST: put the draft away; it stays on record as discarded."""

    def record(self, **asked: Any) -> Delivery:
        """Discard it."""
        return discard_delivery(delivery=self.draft(), version=version_of(self.request), **asked)


def delivery_of(key: int) -> Delivery:
    """Return the delivery of that number. Raises NotFound."""
    found = deliveries().filter(pk=key).first()
    if found is None:
        raise NotFound(thing="delivery", code=key)
    return found
