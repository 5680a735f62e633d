"""Reservations: what is kept for something, and letting it go."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityAnswer, QuantityPair, TextField, quantity_of, refuse_other_unit
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.clock import brewery_day
from inventory.api.codes import LotField
from inventory.models import Reservation
from inventory.queries.reservations import kept_micro, reservations_with_taken
from inventory.services.reservations import let_go, reserve


class ReservationAnswer(serializers.Serializer[Reservation]):
    """One reservation. `kept` is what it still keeps: nothing once it is let go, or its day `until` is over."""

    id = serializers.IntegerField()
    lot = serializers.CharField()
    purpose = serializers.CharField()
    reserved = QuantityAnswer()
    kept = QuantityAnswer()
    until = serializers.DateField(allow_null=True)
    reserved_at = serializers.DateTimeField()
    actor = serializers.CharField()
    let_go_at = serializers.DateTimeField(allow_null=True)

    def to_representation(self, row: Reservation) -> dict[str, Any]:
        """Return the reservation as answers show it."""
        unit = row.lot.material.base_unit
        return {
            "id": row.pk,
            "lot": row.lot.code,
            "purpose": row.purpose,
            "reserved": quantity_of(row.quantity_micro, unit),
            "kept": quantity_of(kept_micro(row, brewery_day()), unit),
            "until": row.until and row.until.isoformat(),
            "reserved_at": row.reserved_at,
            "actor": row.actor.username,
            "let_go_at": row.let_go_at,
        }


class ReservationAsked(QuantityPair):
    """A quantity of a lot, and what it is kept for: the code of a brew, a run, a tank or a customer, or any words."""

    lot = LotField()
    purpose = TextField(max_length=60)
    until = serializers.DateField(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read. Raises ValidationError where the unit does not measure the lot."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["lot"].material.base_unit)
        return {**read, "quantity_micro": amount.micro}


class ReservationFilters(django_filters.FilterSet):
    """Narrows the list of reservations. Those that `is_open` are not let go, and their day is not over."""

    lot = CodeFilter(field_name="lot__code")
    material = CodeFilter(field_name="lot__material__code")
    purpose = CodeFilter(field_name="purpose")
    is_open = django_filters.BooleanFilter(field_name="let_go_at", lookup_expr="isnull")

    class Meta:
        model = Reservation
        fields: tuple[str, ...] = ()


class Reservations(RecordList, Recording[Reservation]):
    """Reservations, the newest first; POST keeps a quantity of a lot for something."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.MOVE_STOCK}
    queryset = reservations_with_taken()
    serializer_class = answered = ReservationAnswer
    asked = ReservationAsked
    filterset_class = ReservationFilters

    def record(self, **asked: Any) -> Reservation:
        """Keep it."""
        return reserve(**asked)

    def in_full(self, made: Reservation) -> Reservation:
        """Return the reservation with what was taken."""
        return reservations_with_taken().get(pk=made.pk)


@extend_schema_field({"type": "integer", "minimum": 1})
class ReservationField(serializers.PrimaryKeyRelatedField[Reservation]):
    """A reservation by its number."""

    default_error_messages = {"does_not_exist": "There is no reservation of this number: look it up in the list."}

    def get_queryset(self) -> QuerySet[Reservation]:
        """Return all reservations."""
        return Reservation.objects.select_related("lot")


class ReleaseAsked(serializers.Serializer[Any]):
    """Which reservation is let go."""

    reservation = ReservationField(pk_field=serializers.IntegerField(min_value=1, max_value=2**63 - 1))


class ReservationReleases(Recording[Reservation]):
    """POST: let a reservation go; the answer is the reservation."""

    right: ClassVar[Right] = Right.MOVE_STOCK
    asked = ReleaseAsked
    answered = ReservationAnswer

    def record(self, **asked: Any) -> Reservation:
        """Let it go."""
        return let_go(**asked)

    def in_full(self, made: Reservation) -> Reservation:
        """Return the reservation with what was taken."""
        return reservations_with_taken().get(pk=made.pk)
