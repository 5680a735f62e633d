"""Contaminations over the API: all that one of a culture or a tank may have reached."""

from datetime import datetime
from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from traceability.api.holds import FamilyAnswer, family_as_data
from traceability.queries.asking import NAMES
from traceability.queries.contaminations import contamination_of


class ContaminationAnswer(FamilyAnswer):
    """All that may have been reached, what it starts from, and the hold's reason that fits it."""

    of = serializers.CharField()
    since = serializers.DateTimeField(allow_null=True)
    starts = serializers.ListField(child=serializers.CharField())
    reason = serializers.CharField()


class ContaminationAsked(serializers.Serializer[Any]):
    """Of which lot or vessel, since when, and whether what was made of the reached lots counts."""

    of = serializers.CharField(max_length=40)
    since = MomentField(required=False, default=None, allow_null=True)
    ingredient = serializers.BooleanField(required=False, default=True)


class Contaminations(GenericAPIView[Any]):
    """All that a contamination may have reached, over culture and residue, and over what was made of it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = ContaminationAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="contamination",
        parameters=[
            OpenApiParameter("of", str, required=True, description="The code of a lot, a tank, a silo or a brink."),
            OpenApiParameter(
                "since", datetime, description="Of a vessel: what lay there after this. Else after its last cleaning."
            ),
            OpenApiParameter(
                "ingredient",
                bool,
                default=True,
                description="Also what was made of a reached lot: the beer that a culture was pitched into.",
            ),
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer what it may have reached."""
        asked = ContaminationAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        found = contamination_of(wanted["of"], since=wanted["since"], with_ingredient=wanted["ingredient"])
        answer = {
            **family_as_data(found.family, [name for name in NAMES if NAMES[name] in found.kinds]),
            "of": found.subject.code,
            "since": found.since,
            "starts": [lot.code for lot in found.starts],
            "reason": found.reason,
        }
        return Response(ContaminationAnswer(answer).data)
