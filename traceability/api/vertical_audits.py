"""The vertical audit of a lot over the API: every record that touches it, as JSON or as the PDF that is printed."""

from typing import Any, ClassVar

from django.utils.http import content_disposition_header
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.renderers import PdfRenderer
from inventory.models import Lot
from traceability.api.traces import LOT
from traceability.printing.vertical_audits import audit_as_pdf
from traceability.queries.audit_entries import Sort
from traceability.queries.lookup import lot_by_code
from traceability.queries.vertical_audits import record_of

SORTS = [(sort.value, sort.value) for sort in Sort]


class RecordAnswer(serializers.Serializer[Any]):
    """One record; `undone` says what became of it where it counts no longer, `event` is its number in the ledger."""

    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    sort = serializers.ChoiceField(choices=SORTS)
    words = serializers.CharField()
    who = serializers.CharField()
    why = serializers.CharField()
    undone = serializers.CharField()
    event = serializers.IntegerField(allow_null=True)


class VerticalAuditAnswer(serializers.Serializer[Any]):
    """A lot with every record that touches it, the oldest first."""

    lot = serializers.CharField()
    material = serializers.CharField()
    records = RecordAnswer(many=True)


class AuditAsked(serializers.Serializer[Any]):
    """Which lot."""

    lot = serializers.CharField(max_length=20)


def _lot_asked(request: Request) -> Lot:
    asked = AuditAsked(data=request.query_params)
    asked.is_valid(raise_exception=True)
    return lot_by_code(asked.validated_data["lot"])


class VerticalAudits(GenericAPIView[Any]):
    """Every record that touches a lot, in order of time."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = VerticalAuditAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="audit_lot", parameters=[LOT])
    def get(self, request: Request) -> Response:
        """Answer the audit."""
        lot = _lot_asked(request)
        told = {"lot": lot.code, "material": lot.material.code, "records": record_of(lot)}
        return Response(VerticalAuditAnswer(told).data)


class VerticalAuditDocument(GenericAPIView[Any]):
    """The same as PDF."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    pagination_class = None
    filter_backends = ()
    renderer_classes = (PdfRenderer,)

    @extend_schema(
        operation_id="audit_lot_document",
        parameters=[LOT],
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, description="Ready to be printed.")},
    )
    def get(self, request: Request) -> Response:
        """Answer the PDF."""
        lot = _lot_asked(request)
        name = content_disposition_header(False, f"audit-{lot.code}.pdf") or "inline"
        return Response(audit_as_pdf(lot), headers={"Content-Disposition": name})
