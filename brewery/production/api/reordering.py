"""What is to be ordered now, material by material."""

from datetime import date
from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityAnswer, quantity_of
from brewery.production.queries.reordering import Reorder, reorders
from inventory.api.codes import MaterialField


class StockAheadAnswer(serializers.Serializer[Any]):
    """What is expected to lie there at the end of a day, in the material's unit."""

    day = serializers.DateField()
    stock = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()


class ReorderAnswer(serializers.Serializer[Reorder]):
    """One material that is reordered: what is there and coming, what it should be, what to order, and its days."""

    material = serializers.CharField()
    supplier = serializers.CharField()
    here = QuantityAnswer()
    on_order = QuantityAnswer()
    safety_stock = QuantityAnswer()
    reorder_point = QuantityAnswer()
    proposed = QuantityAnswer()
    order_by = serializers.DateField(allow_null=True)
    short_on = serializers.DateField(allow_null=True)
    ahead = StockAheadAnswer(many=True)

    def to_representation(self, one: Reorder) -> dict[str, Any]:
        """Return it as answers show it."""
        unit = one.material.base_unit
        return {
            "material": one.material.code,
            "supplier": one.setting.supplier.code,
            "here": quantity_of(one.here_micro, unit),
            "on_order": quantity_of(one.on_order_micro, unit),
            "safety_stock": quantity_of(one.safety_micro, unit),
            "reorder_point": quantity_of(one.point_micro, unit),
            "proposed": quantity_of(one.proposed_micro, unit),
            "order_by": _iso(one.order_by),
            "short_on": _iso(one.short_on),
            "ahead": [
                {
                    "day": day.day.isoformat(),
                    "stock": round(day.stock, 6),
                    "low": round(day.low, 6),
                    "high": round(day.high, 6),
                }
                for day in one.ahead
            ],
        }


class ReordersAsked(serializers.Serializer[Any]):
    """Of one material alone, or of all."""

    material = MaterialField(required=False, default=None)


class Reorders(GenericAPIView[Any]):
    """What is to be ordered, of every material that is reordered."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = ReorderAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="reorders", responses=ReorderAnswer(many=True), parameters=[OpenApiParameter("material")]
    )
    def get(self, request: Request) -> Response:
        """Answer them."""
        asked = ReordersAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        material = asked.validated_data["material"]
        return Response([ReorderAnswer(one).data for one in reorders([material] if material else None)])


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None
