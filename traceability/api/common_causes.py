"""Common causes over the API: what bad lots have in common and good ones have not."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from inventory.models import Material
from traceability.queries.asking import NAMES, kinds_by_name
from traceability.queries.lookup import lots_by_codes
from traceability.queries.suspects import suspects


class SuspectLot(serializers.Serializer[Any]):
    """One lot that the named lots may have met in."""

    lot = serializers.CharField(source="code")
    material = serializers.CharField(source="material.name")
    kind = serializers.ChoiceField(source="material.kind", choices=Material.Kind.choices)
    supplier = serializers.CharField(source="supplier.name", default=None, allow_null=True)
    supplier_lot = serializers.CharField()


class SuspectPlace(serializers.Serializer[Any]):
    """One place that something in the named lots passed through."""

    location = serializers.CharField(source="code")
    name = serializers.CharField()


class SuspectAnswer(serializers.Serializer[Any]):
    """Lots, places and fillers that are in the same named lots.

    `probability` is that of so many bad ones by chance alone; `fillers` are packaging lines. `missed` are the bad lots
    that it is not in, `also_in` the good ones that it is.
    """

    bad = serializers.IntegerField(source="coverage.bad")
    of_bad = serializers.IntegerField(source="coverage.of_bad")
    good = serializers.IntegerField(source="coverage.good")
    of_good = serializers.IntegerField(source="coverage.of_good")
    probability = serializers.FloatField()
    lots = SuspectLot(many=True)
    places = SuspectPlace(many=True)
    fillers = serializers.ListField(child=serializers.CharField())
    missed = serializers.ListField(child=serializers.CharField())
    also_in = serializers.ListField(child=serializers.CharField())


class CommonCausesAsked(serializers.Serializer[Any]):
    """Which lots are bad, which are known to be good, and over which links to look."""

    bad = serializers.CharField(max_length=4000)
    good = serializers.CharField(max_length=4000, required=False, default="", allow_blank=True)
    follow = serializers.CharField(required=False, default="", max_length=100)


class CommonCauses(GenericAPIView[Any]):
    """Suspects for a fault that several lots show, the best explanation first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = SuspectAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="common_causes",
        responses=SuspectAnswer(many=True),
        parameters=[
            OpenApiParameter("bad", str, required=True, description="Codes of the bad lots, separated by spaces."),
            OpenApiParameter("good", str, description="Codes of lots known to be good, separated by spaces."),
            OpenApiParameter("follow", str, description=f"Kinds of link, separated by commas: {', '.join(NAMES)}."),
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer the suspects."""
        asked = CommonCausesAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        bad, good = (lots_by_codes(wanted[name].split(), name) for name in ("bad", "good"))
        return Response(SuspectAnswer(suspects(bad, good, kinds_by_name(wanted["follow"])), many=True).data)
