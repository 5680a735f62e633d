"""A brew sheet as somebody brews by it: scaled, with what to expect of the lots that are here; compared; printed."""

from typing import Any, ClassVar

from django.utils.http import content_disposition_header
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import ALL_UNITS, DecimalTextField, QuantityShown
from brewery.kernel.api.renderers import PdfRenderer
from brewery.kernel.api.strict import refuse_unknown_members
from brewery.kernel.clock import brewery_day
from brewery.production.api.codes import SheetField
from brewery.production.api.sheet_fields import ContentAnswer
from brewery.production.api.sheets import named_sheet
from brewery.production.printing.sheets import sheet_as_pdf
from brewery.production.queries.sheet_comparison import ADDED, CHANGED, REMOVED, differences
from brewery.production.queries.sheet_contents import content_of
from brewery.production.queries.sheet_view import SheetView, view_of
from brewery.science.units import BaseUnit, UnitError, to_micro

LENGTH = (
    OpenApiParameter("cold_wort", str, description="How much cold wort, as a decimal; else what the sheet says."),
    OpenApiParameter("unit", str, enum=[unit for unit in ALL_UNITS if unit not in ("kg", "each")], default="L"),
    OpenApiParameter("on", OpenApiTypes.DATE, description="The day on which it is brewed; today where left out."),
)


class LengthAsked(serializers.Serializer[Any]):
    """For how much cold wort, and on which day."""

    cold_wort = DecimalTextField(max_length=60, required=False)
    unit = serializers.ChoiceField(choices=ALL_UNITS, default="L")
    on = serializers.DateField(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return the length in micro-units and the day. Raises ValidationError."""
        day = attrs.get("on") or brewery_day()
        if "cold_wort" not in attrs:
            return {"cold_wort_micro": None, "day": day}
        try:
            micro = to_micro(attrs["cold_wort"], attrs["unit"], BaseUnit.L)
        except UnitError as wrong:
            raise serializers.ValidationError({"cold_wort": str(wrong)}, code=wrong.code) from wrong
        if micro <= 0:
            raise serializers.ValidationError({"cold_wort": "Give more than 0."}, code="too_little")
        return {"cold_wort_micro": micro, "day": day}


class GrainWeighed(serializers.Serializer[Any]):
    """What a grain weighs."""

    material = serializers.CharField(source="line.material.code")
    weight = QuantityShown("weight_micro", BaseUnit.KG)


class HopsOfLotAnswer(serializers.Serializer[Any]):
    """What an addition takes of a lot, and what of it is alpha acids, in %, by which certificate."""

    lot = serializers.CharField(source="lot.code")
    weight = QuantityShown("weight_micro", BaseUnit.KG)
    alpha_pct = serializers.FloatField(allow_null=True)
    stated_by = serializers.CharField(source="source")


class DoseAnswer(serializers.Serializer[Any]):
    """What a hop addition weighs on that day, of which lots, and why. Nothing where no lot tells its alpha acids."""

    material = serializers.CharField(source="line.material.code")
    stage = serializers.CharField(source="line.stage")
    weight = QuantityShown("weight_micro", BaseUnit.KG, allow_null=True)
    lots = HopsOfLotAnswer(many=True, source="parts")
    reason = serializers.CharField()


class PredictionAnswer(serializers.Serializer[Any]):
    """One figure: what is expected and within what, what the sheet wants, and why."""

    key = serializers.CharField()
    name = serializers.CharField(source="label")
    unit = serializers.CharField()
    value = serializers.FloatField(allow_null=True)
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    target = serializers.FloatField(allow_null=True)
    reason = serializers.CharField()


class DoubtAnswer(serializers.Serializer[Any]):
    """Something unusual: a warning, not a refusal."""

    field = serializers.CharField()
    words = serializers.CharField()


class SheetViewAnswer(serializers.Serializer[SheetView]):
    """A sheet for a length and a day: what it says, what everything weighs, and what to expect."""

    sheet = serializers.IntegerField(source="sheet.pk")
    on = serializers.DateField(source="day")
    content = ContentAnswer()
    grain = GrainWeighed(many=True, source="grains")
    hops = DoseAnswer(many=True, source="doses")
    predictions = PredictionAnswer(many=True)
    doubts = DoubtAnswer(many=True)


class DifferenceAnswer(serializers.Serializer[Any]):
    """One thing that the two sheets say otherwise."""

    part = serializers.CharField()
    change = serializers.ChoiceField(choices=[ADDED, REMOVED, CHANGED])
    about = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()


class ComparisonAnswer(serializers.Serializer[Any]):
    """What the other sheet says otherwise."""

    sheet = serializers.IntegerField()
    other = serializers.IntegerField()
    differences = DifferenceAnswer(many=True)


class ComparisonAsked(serializers.Serializer[Any]):
    """With which sheet."""

    other = SheetField()


class SheetQuestion(GenericAPIView[Any]):
    """A question about one sheet."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    pagination_class = None
    filter_backends = ()

    def view(self, request: Request, key: int) -> SheetView:
        """Return the sheet for the length and the day that are asked for. Raises ValidationError, NotFound."""
        given = request.query_params.dict()
        asked = LengthAsked(data=given)
        refuse_unknown_members(asked, given)
        asked.is_valid(raise_exception=True)
        return view_of(named_sheet(key), **asked.validated_data)


class ScaledSheet(SheetQuestion):
    """A brew sheet for a length and a day, with what to expect of the lots that are here."""

    serializer_class = SheetViewAnswer

    @extend_schema(operation_id="brew_sheet_scaled", parameters=list(LENGTH))
    def get(self, request: Request, pk: int) -> Response:
        """Answer it."""
        return Response(SheetViewAnswer(self.view(request, pk)).data)


class PrintedSheet(SheetQuestion):
    """A brew sheet for a length and a day as PDF, with room to write down what was measured."""

    renderer_classes = (PdfRenderer,)

    @extend_schema(
        operation_id="brew_sheet_print",
        parameters=list(LENGTH),
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, description="Ready to be printed.")},
    )
    def get(self, request: Request, pk: int) -> Response:
        """Answer the PDF."""
        view = self.view(request, pk)
        name = content_disposition_header(False, f"{view.sheet.beer.code}-{view.sheet.version}.pdf") or "inline"
        return Response(sheet_as_pdf(view), headers={"Content-Disposition": name})


class SheetComparison(SheetQuestion):
    """What another brew sheet says otherwise than this one: added, removed and changed."""

    serializer_class = ComparisonAnswer

    @extend_schema(
        operation_id="brew_sheet_comparison",
        parameters=[OpenApiParameter("other", int, required=True, description="The number of the other sheet.")],
    )
    def get(self, request: Request, pk: int) -> Response:
        """Answer it."""
        sheet = named_sheet(pk)
        given: dict[str, Any] = request.query_params.dict()
        if str(given.get("other", "")).isdecimal():
            given["other"] = int(given["other"])
        asked = ComparisonAsked(data=given)
        refuse_unknown_members(asked, given)
        asked.is_valid(raise_exception=True)
        other = asked.validated_data["other"]
        told = differences(content_of(sheet), content_of(other))
        return Response(ComparisonAnswer({"sheet": sheet.pk, "other": other.pk, "differences": told}).data)
