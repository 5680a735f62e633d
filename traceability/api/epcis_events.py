"""The record as EPCIS events: queried, and as a document of one lot or one period."""

from typing import Any, ClassVar

from django.utils.http import content_disposition_header
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.api.fields import MomentField
from traceability.api.epcis import DOCUMENT, QUERY, TIMES, VERSIONS, EpcisView, EventsAsked, page_of, wanted_by
from traceability.queries.epcis_search import search
from traceability.services.epcis_documents import document_of


class EpcisEvents(EpcisView):
    """The record as EPCIS 2.0 events, in the order in which they were recorded; reversals are error declarations."""

    asked = EventsAsked

    @extend_schema(operation_id="epcis_events", parameters=QUERY, responses={200: DOCUMENT})
    def get(self, request: Request) -> Response:
        """Answer one page."""
        asked = self.read(request)
        page = search(wanted_by(asked), most=asked["perPage"], place=asked["nextPageToken"])
        return page_of(request, page.events, page.next)


class DocumentAsked(serializers.Serializer[Any]):
    """Of which lot, or of which period."""

    lot = serializers.CharField(max_length=20, required=False, default="")
    GE_eventTime = MomentField(required=False, default=None)
    LT_eventTime = MomentField(required=False, default=None)


class EpcisDocument(EpcisView):
    """An EPCIS 2.0 document of a lot with all that it is made of and went into, or of all that happened in a period."""

    asked: ClassVar = DocumentAsked

    @extend_schema(
        operation_id="epcis_document",
        parameters=[OpenApiParameter("lot", str, description="The lot's code."), *TIMES],
        responses={200: DOCUMENT},
    )
    def get(self, request: Request) -> Response:
        """Answer the document as a file."""
        asked = self.read(request)
        told = document_of(asked["lot"], asked["GE_eventTime"], asked["LT_eventTime"])
        name = content_disposition_header(True, f"epcis-{asked['lot'] or 'period'}.json") or "attachment"
        return Response(told, headers={**VERSIONS, "Content-Disposition": name})
