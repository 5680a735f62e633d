"""EPCIS of suppliers and customers over the API: a document is taken in, and what came is queried."""

from typing import Any, ClassVar

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import CodeField
from brewery.kernel.api.idempotency import request_id_of
from brewery.kernel.api.parsing import StrictJSONParser
from brewery.kernel.api.views import Recording, person_of
from inventory.queries.registers import party_of
from traceability.models import CapturedDocument
from traceability.services.epcis_capture import capture_document


class LinkedDataParser(StrictJSONParser):
    """The same JSON under its name as linked data."""

    media_type = "application/ld+json"


class CaptureDoubtAnswer(serializers.Serializer[Any]):
    """What the standard allows and somebody should look at."""

    field = serializers.CharField()
    detail = serializers.CharField()


class CapturedAnswer(serializers.Serializer[CapturedDocument]):
    """A document that was taken in: the names of its events that are new, and how many were on record before."""

    id = serializers.IntegerField()
    party = serializers.CharField(source="party.code")
    captured_at = serializers.DateTimeField(source="written_at")
    captured_by = serializers.CharField(source="actor.username")
    new_events = serializers.SerializerMethodField()
    known_events = serializers.IntegerField(min_value=0, max_value=2**31)
    doubts = CaptureDoubtAnswer(many=True)

    def get_new_events(self, document: CapturedDocument) -> list[str]:
        return list(document.events.values_list("event_id", flat=True))


class SentBy(serializers.Serializer[Any]):
    """Who sent it."""

    party = CodeField(thing="party", find=party_of)


class EpcisCapture(Recording[CapturedDocument]):
    """Takes in an EPCIS 2.0 document of a supplier or a customer: all of it or nothing. It changes nothing in stock."""

    right: ClassVar[Right] = Right.RECEIVE
    answered = CapturedAnswer
    parser_classes = (StrictJSONParser, LinkedDataParser)

    @extend_schema(
        operation_id="epcis_capture",
        request={kind.media_type: OpenApiTypes.OBJECT for kind in (StrictJSONParser, LinkedDataParser)},
        parameters=[OpenApiParameter("party", str, required=True, description="Code of who sent it.")],
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Take it in. Raises ValidationError, and the service's refusals by their path in the document."""
        request_id, document = request_id_of(request), request.data
        sent = SentBy(data=request.query_params.dict(), context={})
        sent.is_valid(raise_exception=True)
        party = sent.validated_data["party"]
        made = self.record(document=document, party=party, actor=person_of(request), request_id=request_id)
        return Response(self.answered(made).data, status=201)

    def record(self, **asked: Any) -> CapturedDocument:
        """Take in the document."""
        return capture_document(**asked)
