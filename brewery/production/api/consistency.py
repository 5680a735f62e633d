"""Consistency: the figures of a beer's brews with their control limits, and which lots changed between them."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.production.queries.consistency import Change, Consistency, Series, consistency_of
from inventory.api.codes import MaterialField


class LimitsAnswer(serializers.Serializer[Any]):
    """Limits of individual values and of moving ranges, in the unit of the series."""

    mean = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    mean_range = serializers.FloatField()
    most_range = serializers.FloatField()


class PointAnswer(serializers.Serializer[Any]):
    """What one brew tells: the figure, what was predicted of it, by how much it moved, and whether it is outside."""

    brew = serializers.CharField()
    value = serializers.FloatField(allow_null=True)
    predicted = serializers.FloatField(allow_null=True)
    moved_by = serializers.FloatField(allow_null=True)
    is_outside = serializers.BooleanField()


class SeriesAnswer(serializers.Serializer[Any]):
    """One figure over the brews, the first brew first; limits need three values."""

    key = serializers.CharField()
    title = serializers.CharField()
    unit = serializers.CharField()
    limits = LimitsAnswer(allow_null=True)
    points = PointAnswer(many=True)


class LotChangeAnswer(serializers.Serializer[Any]):
    """The lots of one material in one brew and in the next."""

    material = serializers.CharField()
    before = serializers.ListField(child=serializers.CharField())
    after = serializers.ListField(child=serializers.CharField())


class ChangeAnswer(serializers.Serializer[Any]):
    """What changed from one brew to the next."""

    before = serializers.CharField()
    after = serializers.CharField()
    is_other_sheet = serializers.BooleanField()
    lots = LotChangeAnswer(many=True)


class ConsistencyAnswer(serializers.Serializer[Consistency]):
    """The last brews of a beer, the first first."""

    series = SeriesAnswer(many=True)
    changes = ChangeAnswer(many=True)

    def to_representation(self, told: Consistency) -> dict[str, Any]:
        """Return what is told as answers show it."""
        codes = [brew.code for brew in told.brews]
        return {
            "series": [_series(one, codes) for one in told.series],
            "changes": [_change(one) for one in told.changes],
        }


class ConsistencyAsked(serializers.Serializer[Any]):
    """Of which beer."""

    beer = MaterialField()


class ConsistencyOfBeer(GenericAPIView[Any]):
    """Yield, original gravity, bitterness and attenuation over a beer's last brews, and which lots changed."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = ConsistencyAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="consistency", parameters=[OpenApiParameter("beer", required=True)])
    def get(self, request: Request) -> Response:
        """Answer it."""
        asked = ConsistencyAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response(ConsistencyAnswer(consistency_of(asked.validated_data["beer"])).data)


def _series(one: Series, codes: list[str]) -> dict[str, Any]:
    rows = zip(codes, one.values, one.compared or [None] * len(codes), one.ranges, strict=True)
    return {
        "key": one.key,
        "title": one.label,
        "unit": one.unit,
        "limits": None if one.limits is None else LimitsAnswer(one.limits).data,
        "points": [
            {"brew": code, "value": value, "predicted": expected, "moved_by": moved, "is_outside": one.is_out(place)}
            for place, (code, value, expected, moved) in enumerate(rows)
        ],
    }


def _change(one: Change) -> dict[str, Any]:
    return {
        "before": one.before.code,
        "after": one.after.code,
        "is_other_sheet": one.is_other_sheet,
        "lots": [
            {
                "material": lots.material.code,
                "before": [lot.code for lot in lots.before],
                "after": [lot.code for lot in lots.after],
            }
            for lots in one.lots
        ],
    }
