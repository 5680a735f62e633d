"""Delivery notes of shipments, and the number of the next."""

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
from brewery.kernel.errors import NotFound
from brewery.production.printing.delivery_notes import note_as_pdf
from brewery.production.queries.delivery_notes import propose_note_number, shipments


class NoteNumberAnswer(serializers.Serializer[Any]):
    """The number of the next delivery note."""

    note_number = serializers.CharField()


class NextDeliveryNote(GenericAPIView[Any]):
    """The number that is proposed for the next delivery note of today."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = NoteNumberAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="next_delivery_note", responses=NoteNumberAnswer)
    def get(self, request: Request) -> Response:
        """Answer it."""
        return Response({"note_number": propose_note_number()})


class DeliveryNote(GenericAPIView[Any]):
    """The delivery note of a shipment as PDF, by the number of its event."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    pagination_class = None
    filter_backends = ()
    renderer_classes = (PdfRenderer,)

    @extend_schema(
        operation_id="delivery_note",
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, description="Ready to be printed.")},
    )
    def get(self, request: Request, pk: int) -> Response:
        """Answer the PDF."""
        shipment = shipments().filter(event=pk).first()
        if shipment is None:
            raise NotFound(thing="shipment", code=str(pk))
        name = content_disposition_header(False, f"{shipment.note_number}.pdf") or "inline"
        return Response(note_as_pdf(shipment), headers={"Content-Disposition": name})
