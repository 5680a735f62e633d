"""Costs and values: what lots cost, and what a material's stock and use in a period are worth. For the accountant."""

import re
from fractions import Fraction
from typing import Any, ClassVar

import django_filters
from django.core.validators import MaxValueValidator, MinValueValidator
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import DecimalTextField, QuantityAnswer, TextField, quantity_of
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from inventory.api.codes import LotField, MaterialField
from inventory.models import LotCost
from inventory.queries.valuation import EARLIEST, LATEST, Valuation, Worth, money, unit_cost, valuation_of_days
from inventory.services.costs import record_cost

_COST = re.compile(r"[0-9]{1,11}(\.[0-9]{1,4})?")
DAYS = (MinValueValidator(EARLIEST), MaxValueValidator(LATEST))
_DAY = {"type": "string", "format": "date"}


class UnitCostField(DecimalTextField):
    """What one base unit cost, as text with up to four decimals; read in ten-thousandths."""

    default_error_messages = {"not_a_cost": "Write a plain decimal with up to four places, such as 12.5."}

    def to_internal_value(self, data: Any) -> Any:
        """Return the cost in ten-thousandths. Raises ValidationError."""
        text = super().to_internal_value(data)
        if not _COST.fullmatch(text):
            self.fail("not_a_cost")
        return int(Fraction(text) * 10_000)


class LotCostAnswer(serializers.Serializer[LotCost]):
    """What a lot cost a base unit; the newest record of a lot counts."""

    lot = serializers.CharField(source="lot.code")
    unit_cost = serializers.SerializerMethodField()
    currency = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")

    def get_unit_cost(self, cost: LotCost) -> str:
        return unit_cost(cost)


class LotCostAsked(serializers.Serializer[Any]):
    """What one base unit of a lot cost, in a currency of ISO 4217."""

    lot = LotField()
    unit_cost = UnitCostField(source="unit_cost_e4")
    currency = TextField(max_length=3)


class LotCostFilters(django_filters.FilterSet):
    """Narrows the list of costs."""

    lot = CodeFilter(field_name="lot__code")
    material = CodeFilter(field_name="lot__material__code")

    class Meta:
        model = LotCost
        fields: tuple[str, ...] = ()


class LotCosts(RecordList, Recording[LotCost]):
    """What lots cost, the newest record first; POST records a cost."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.KEEP_COSTS, "POST": Right.KEEP_COSTS}
    queryset = LotCost.objects.select_related("lot", "actor")
    serializer_class = answered = LotCostAnswer
    asked = LotCostAsked
    filterset_class = LotCostFilters

    def record(self, **asked: Any) -> LotCost:
        """Record it."""
        return record_cost(**asked)


class WithoutCostAnswer(QuantityAnswer):
    """A quantity of a lot that has no cost, so that it is in no value."""

    lot = serializers.CharField()


class WorthAnswer(serializers.Serializer[Any]):
    """A quantity and what is known of its value, by first in first out, rounded to two decimals."""

    amount = QuantityAnswer()
    value = serializers.CharField()
    without_cost = WithoutCostAnswer(many=True)


class StockValueAnswer(serializers.Serializer[Any]):
    """One material in one period. By the average there is no value where a lot has no cost."""

    material = serializers.CharField()
    currency = serializers.CharField(help_text="Empty where no lot has a cost.")
    opening = WorthAnswer()
    came = WorthAnswer()
    went_out = WorthAnswer()
    closing = WorthAnswer()
    average_per_unit = serializers.CharField(allow_null=True)
    went_out_by_average = serializers.CharField(allow_null=True)
    closing_by_average = serializers.CharField(allow_null=True)

    def to_representation(self, value: Valuation) -> dict[str, Any]:
        """Return the valuation as answers show it."""
        unit = value.material.base_unit
        by_average = (value.average_per_unit, value.went_out_by_average, value.closing_by_average)
        average, went_out, closing = (None if one is None else money(one) for one in by_average)
        return {
            "material": value.material.code,
            "currency": value.currency,
            "opening": _worth(value.opening, unit),
            "came": _worth(value.came, unit),
            "went_out": _worth(value.went_out, unit),
            "closing": _worth(value.closing, unit),
            "average_per_unit": average,
            "went_out_by_average": went_out,
            "closing_by_average": closing,
        }


class StockValueAsked(serializers.Serializer[Any]):
    """Which material, from which day through which day, as the brewery's clock tells them."""

    material = MaterialField()
    first = serializers.DateField(validators=DAYS)
    last = serializers.DateField(validators=DAYS)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read. Raises ValidationError where the last day is before the first."""
        if attrs["last"] < attrs["first"]:
            raise serializers.ValidationError({"last": "Give a day that is not before the first."})
        return attrs


class StockValues(GenericAPIView[Any]):
    """What a bought material was worth at the start, what came, what went out, and what is left at the end."""

    right: ClassVar[Right] = Right.KEEP_COSTS
    serializer_class = StockValueAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="stock_value",
        parameters=[
            OpenApiParameter("material", required=True),
            OpenApiParameter("first", type=_DAY, required=True),
            OpenApiParameter("last", type=_DAY, required=True),
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer the values."""
        asked = StockValueAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response(StockValueAnswer(valuation_of_days(**asked.validated_data)).data)


def _worth(worth: Worth, unit: str) -> dict[str, Any]:
    left_out = [{"lot": code, **quantity_of(micro, unit)} for code, micro in worth.without_cost.items()]
    return {"amount": quantity_of(worth.micro, unit), "value": money(worth.value), "without_cost": left_out}
