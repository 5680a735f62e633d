"""Codes and best-before days that the rule in force gives, before anything is filled."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.strict import refuse_unknown_members
from brewery.kernel.clock import now
from brewery.production.queries.packaging_codes import best_before_for, next_codes
from brewery.production.services.packaging import LONGEST_LINE
from brewery.science.lot_patterns import Filled
from inventory.api.codes import MaterialField

MOST_CODES = 20


class CodesAsked(serializers.Serializer[Any]):
    """Of what, filled when, on which line and out of which tank."""

    material = MaterialField()
    happened_at = serializers.DateTimeField(required=False)
    line = TextField(max_length=LONGEST_LINE, required=False, allow_blank=True, default="")
    tank = TextField(max_length=40, required=False, allow_blank=True, default="")
    how_many = serializers.IntegerField(min_value=1, max_value=MOST_CODES, required=False, default=3)


class CodesAnswer(serializers.Serializer[Any]):
    """The next codes, the first first: another may be quicker. Without a rule for it there is no best before."""

    codes = serializers.ListField(child=serializers.CharField())
    best_before = serializers.DateField(allow_null=True)


class PackagingCodes(GenericAPIView[Any]):
    """GET: the next lot codes and the best-before day of what would be filled."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = CodesAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="packaging_codes",
        parameters=[
            OpenApiParameter("material", str, required=True, description="A packaged material's code."),
            OpenApiParameter("happened_at", str, description="When it would be filled; without it, now."),
            OpenApiParameter("line", str),
            OpenApiParameter("tank", str),
            OpenApiParameter("how_many", int, default=3, description=f"{MOST_CODES} at most."),
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer them."""
        given = request.query_params.dict()
        asked = CodesAsked(data=given)
        refuse_unknown_members(asked, given)
        asked.is_valid(raise_exception=True)
        read = asked.validated_data
        moment = read.get("happened_at") or now()
        codes = next_codes(read["material"], Filled(moment, read["line"], read["tank"]), read["how_many"])
        return Response(CodesAnswer({"codes": codes, "best_before": best_before_for(read["material"], moment)}).data)
