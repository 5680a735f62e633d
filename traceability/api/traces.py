"""Traces over the API: the answer of `manage.py trace --json`."""

from datetime import datetime
from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityAnswer
from inventory.models import Location, Material
from inventory.models.dispositions import Disposition
from traceability.queries.asking import NAMES, kinds_by_name
from traceability.queries.graph import Direction
from traceability.queries.lookup import lot_by_code
from traceability.queries.report import report_on, trace_as_data
from traceability.queries.trace import trace


class PlaceAnswer(QuantityAnswer):
    """A place with how much of a lot lies there; `customer` where a customer holds it."""

    location = serializers.CharField()
    kind = serializers.ChoiceField(choices=Location.Kind.choices)
    customer = serializers.CharField(allow_null=True)


class ReachedAnswer(serializers.Serializer[Any]):
    """A lot that the trace reached.

    `amount` is, for a trace back, how much of this lot is in the one asked for; for a trace forward, how much of the
    one asked for is in this lot. `share` is that amount's part of the lot that it is measured in.
    """

    lot = serializers.CharField()
    material = serializers.CharField()
    kind = serializers.ChoiceField(choices=Material.Kind.choices)
    supplier = serializers.CharField(allow_null=True)
    supplier_lot = serializers.CharField()
    disposition = serializers.ChoiceField(choices=Disposition.choices)
    reached_by = serializers.ListField(child=serializers.ChoiceField(choices=list(NAMES)))
    amount = QuantityAnswer()
    share = serializers.FloatField()
    where = PlaceAnswer(many=True)


class FollowedAnswer(serializers.Serializer[Any]):
    """One link that the trace followed, with how much of the parent went across."""

    parent = serializers.CharField()  # type: ignore[assignment]
    child = serializers.CharField()
    kind = serializers.ChoiceField(choices=list(NAMES))
    went_across = QuantityAnswer()


class TraceAnswer(serializers.Serializer[Any]):
    """A trace: the lot asked for, every lot reached, every link followed."""

    lot = serializers.CharField()
    material = serializers.CharField()
    direction = serializers.ChoiceField(choices=[way.value for way in Direction])
    follow = serializers.ListField(child=serializers.ChoiceField(choices=list(NAMES)))
    as_of = serializers.DateTimeField(allow_null=True)
    quantity = QuantityAnswer()
    where = PlaceAnswer(many=True)
    lots = ReachedAnswer(many=True)
    links = FollowedAnswer(many=True)


class LotAsked(serializers.Serializer[Any]):
    """Which lot, and as of when."""

    lot = serializers.CharField(max_length=20)
    as_of = MomentField(required=False, default=None, allow_null=True)


class TraceAsked(LotAsked):
    """Which lot, which way, over which links, as of when."""

    direction = serializers.ChoiceField(choices=[way.value for way in Direction], default=Direction.BACK.value)
    follow = serializers.CharField(required=False, default="", max_length=100)


LOT = OpenApiParameter("lot", str, required=True, description="The lot's code.")
AS_OF = OpenApiParameter("as_of", datetime, description="As it was at this moment, by what is known today.")


class Traces(GenericAPIView[Any]):
    """What a lot is made of, or where all of it went: every lot once, with how much, and where each is now."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = TraceAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="trace",
        parameters=[
            LOT,
            OpenApiParameter("direction", str, enum=[way.value for way in Direction], default=Direction.BACK.value),
            OpenApiParameter("follow", str, description=f"Kinds of link, separated by commas: {', '.join(NAMES)}."),
            AS_OF,
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer the trace."""
        asked = TraceAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        answer = trace(
            lot_by_code(wanted["lot"]),
            Direction(wanted["direction"]),
            kinds=kinds_by_name(wanted["follow"]),
            as_of=wanted["as_of"],
        )
        return Response(trace_as_data(report_on(answer)))
