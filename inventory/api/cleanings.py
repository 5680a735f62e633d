"""Cleanings of vessels, and the withdrawal of one that was not done."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from inventory.api.codes import PlaceField
from inventory.api.parts import ReasonField
from inventory.models import Cleaning
from inventory.services.cleanings import clean_vessel, withdraw_cleaning


class CleaningAnswer(serializers.Serializer[Cleaning]):
    """One cleaning, or the withdrawal of the cleaning that `withdraws` names, with its reason as the remark."""

    id = serializers.IntegerField()
    vessel = serializers.CharField(source="vessel.code")
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")
    programme = serializers.CharField()
    remark = serializers.CharField()
    withdraws = serializers.IntegerField(source="withdraws_id", allow_null=True)


class CleaningAsked(serializers.Serializer[Any]):
    """A vessel was cleaned, and how."""

    happened_at = MomentField()
    vessel = PlaceField()
    programme = TextField(max_length=120)
    remark = ReasonField()


class CleaningFilters(django_filters.FilterSet):
    """Narrows the list of cleanings."""

    vessel = CodeFilter(field_name="vessel__code")

    class Meta:
        model = Cleaning
        fields: tuple[str, ...] = ()


class Cleanings(RecordList, Recording[Cleaning]):
    """Cleanings and withdrawals, the newest first; POST records a cleaning."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.CLEAN}
    queryset = Cleaning.objects.select_related("vessel", "actor")
    serializer_class = answered = CleaningAnswer
    asked = CleaningAsked
    filterset_class = CleaningFilters

    def record(self, **asked: Any) -> Cleaning:
        """Record it."""
        return clean_vessel(**asked)


@extend_schema_field({"type": "integer", "minimum": 1})
class CleaningField(serializers.PrimaryKeyRelatedField[Cleaning]):
    """A cleaning by its number."""

    default_error_messages = {"does_not_exist": "There is no cleaning of this number: look it up in the list."}

    def get_queryset(self) -> QuerySet[Cleaning]:
        """Return all of them."""
        return Cleaning.objects.select_related("vessel")


class WithdrawalAsked(serializers.Serializer[Any]):
    """Which cleaning was not done, and why it stood there."""

    cleaning = CleaningField(pk_field=serializers.IntegerField(min_value=1, max_value=2**63 - 1))
    reason = ReasonField()


class CleaningWithdrawals(Recording[Cleaning]):
    """POST: withdraw a cleaning; the answer is the withdrawal."""

    right: ClassVar[Right] = Right.CLEAN
    asked = WithdrawalAsked
    answered = CleaningAnswer

    def record(self, **asked: Any) -> Cleaning:
        """Withdraw it."""
        return withdraw_cleaning(**asked)
