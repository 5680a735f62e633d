"""Labels as PDF, to be printed: of lots, a pallet, a place."""

from typing import Any, ClassVar

from django.utils.http import content_disposition_header
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.renderers import PdfRenderer
from brewery.kernel.api.strict import refuse_unknown_members
from inventory.api.codes import LotField, PalletField, PlaceField
from inventory.labels.printing import MOST_COPIES, Label, labels_as_pdf
from inventory.labels.sizes import SIZES, USUAL_SIZE
from inventory.services.labels import lot_labels, pallet_label, place_label

MOST_LOTS = 50


class LabelsAsked(serializers.Serializer[Any]):
    """Of what, in which size, and how many of each."""

    lot = serializers.ListField(child=LotField(), max_length=MOST_LOTS, default=list)
    pallet = PalletField(required=False)
    location = PlaceField(required=False)
    size = serializers.ChoiceField(choices=[(size.code, size.words) for size in SIZES.values()], default=USUAL_SIZE)
    copies = serializers.IntegerField(min_value=1, max_value=MOST_COPIES, default=1)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was asked. Raises ValidationError where it names nothing."""
        if not (attrs["lot"] or "pallet" in attrs or "location" in attrs):
            raise serializers.ValidationError({"lot": "Name lots, a pallet or a location."}, code="required")
        return attrs

    def labels(self) -> list[Label]:
        """Return the labels of what was asked for. Raises NoLabel."""
        asked = self.validated_data
        labels = lot_labels(asked["lot"])
        if "pallet" in asked:
            labels.append(pallet_label(asked["pallet"]))
        if "location" in asked:
            labels.append(place_label(asked["location"]))
        return labels


class Labels(GenericAPIView[Any]):
    """Labels as PDF, which scan back as what they hang on: GS1-128, GS1 DataMatrix, and a QR with a Digital Link."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    renderer_classes = (PdfRenderer,)
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="labels",
        parameters=[
            OpenApiParameter("lot", str, many=True, description="A lot's code; may stand there several times."),
            OpenApiParameter("pallet", str, description="A pallet's SSCC."),
            OpenApiParameter("location", str, description="A place's code."),
            OpenApiParameter("size", str, enum=list(SIZES), default=USUAL_SIZE),
            OpenApiParameter("copies", int, default=1, description=f"Of each, {MOST_COPIES} at most."),
        ],
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, description="Ready to be printed.")},
    )
    def get(self, request: Request) -> Response:
        """Answer the PDF."""
        given = {name: texts if name == "lot" else texts[-1] for name, texts in request.query_params.lists()}
        asked = LabelsAsked(data=given)
        refuse_unknown_members(asked, given)
        asked.is_valid(raise_exception=True)
        size = SIZES[asked.validated_data["size"]]
        pdf = labels_as_pdf(asked.labels(), size, asked.validated_data["copies"])
        name = content_disposition_header(False, "labels.pdf") or "inline"
        return Response(pdf, headers={"Content-Disposition": name})
