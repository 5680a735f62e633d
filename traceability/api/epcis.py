"""EPCIS over the API: what its addresses have in common. Parameters are named as in EPCIS 2.0, section 8.2.7."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, TextField
from brewery.kernel.api.strict import refuse_unknown_members
from brewery.kernel.clock import now
from traceability.epcis.vocabulary import EVENT_TYPES, Json, bare, query_document
from traceability.queries.epcis_search import Place, Wanted

MOST_A_PAGE, USUAL_PAGE, MOST_VALUES = 200, 30, 100
VERSIONS = {"GS1-EPCIS-Version": "2.0.0", "GS1-CBV-Version": "2.0.0"}
DOCUMENT = OpenApiResponse(OpenApiTypes.OBJECT, description="A document of EPCIS 2.0 in JSON-LD.")


class WordsField(TextField):
    """One or several values with | between them."""

    default_error_messages = {
        "unknown": "Write one or several of these with | between: {words}.",
        "many": f"Write at most {MOST_VALUES} values, without a NUL.",
    }

    def __init__(self, *, words: tuple[str, ...] = (), **options: Any) -> None:
        super().__init__(required=False, default=tuple, **options)  # type: ignore[arg-type]
        self.words = words

    def to_internal_value(self, data: Any) -> Any:
        """Return the values, words of the vocabulary bare. Raises ValidationError for one that cannot be."""
        values = tuple(bare(part) for part in super().to_internal_value(data).split("|") if part)
        if len(values) > MOST_VALUES or any("\x00" in value for value in values):
            self.fail("many")
        if self.words and not set(values) <= set(self.words):
            self.fail("unknown", words=", ".join(self.words))
        return values


class TokenField(TextField):
    """The place where the next page begins."""

    default_error_messages = {"invalid": "Take it from the answer's Link header as it is."}

    def to_internal_value(self, data: Any) -> Any:
        """Return the place. Raises ValidationError."""
        found = re.fullmatch(r"([0-9]{1,18})\.([0-9]{1,6})", super().to_internal_value(data))
        if not found:
            self.fail("invalid")
        return Place(int(found[1]), int(found[2]))


class EventsAsked(serializers.Serializer[Any]):
    """What a query narrows to."""

    eventType = WordsField(words=EVENT_TYPES)
    EQ_bizStep = WordsField()
    EQ_disposition = WordsField()
    EQ_eventID = WordsField()
    GE_eventTime = MomentField(required=False, default=None)
    LT_eventTime = MomentField(required=False, default=None)
    GE_recordTime = MomentField(required=False, default=None)
    LT_recordTime = MomentField(required=False, default=None)
    MATCH_anyEPC = WordsField()
    MATCH_anyEPCClass = WordsField()
    perPage = serializers.IntegerField(min_value=1, max_value=MOST_A_PAGE, required=False, default=USUAL_PAGE)
    nextPageToken = TokenField(required=False, default=Place)  # type: ignore[arg-type]


def wanted_by(asked: Mapping[str, Any]) -> Wanted:
    """Return what was asked for."""
    return Wanted(
        types=asked["eventType"],
        steps=asked["EQ_bizStep"],
        dispositions=asked["EQ_disposition"],
        ids=asked["EQ_eventID"],
        since=asked["GE_eventTime"],
        before=asked["LT_eventTime"],
        recorded_since=asked["GE_recordTime"],
        recorded_before=asked["LT_recordTime"],
        epcs=asked["MATCH_anyEPC"],
        classes=asked["MATCH_anyEPCClass"],
    )


def _listed(name: str, words: str) -> OpenApiParameter:
    return OpenApiParameter(name, str, description=f"{words} Several with | between them.")


TIMES = [
    OpenApiParameter("GE_eventTime", datetime, description="Happened at this moment or later."),
    OpenApiParameter("LT_eventTime", datetime, description="Happened before this moment."),
]
QUERY = [
    _listed("eventType", f"{', '.join(EVENT_TYPES)}."),
    _listed("EQ_bizStep", "The business step, bare or as a URI."),
    _listed("EQ_disposition", "The disposition, bare or as a URI."),
    _listed("EQ_eventID", "The event's own name."),
    *TIMES,
    OpenApiParameter("GE_recordTime", datetime, description="Recorded at this moment or later."),
    OpenApiParameter("LT_recordTime", datetime, description="Recorded before this moment."),
    _listed("MATCH_anyEPC", "URI of a thing, such as a pallet, that the event names."),
    _listed("MATCH_anyEPCClass", "URI of a lot, or of a GTIN for all its lots, that the event names."),
    OpenApiParameter("perPage", int, description=f"How many events at most, up to {MOST_A_PAGE}."),
    OpenApiParameter(
        "nextPageToken", str, description="Where the page begins, as the Link header of the last one says."
    ),
]


class EpcisView(GenericAPIView[Any]):
    """A GET whose parameters are read by `asked`; one that it does not know is refused."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    asked: ClassVar[type[serializers.Serializer[Any]]]
    pagination_class = None
    filter_backends = ()

    def read(self, request: Request) -> dict[str, Any]:
        """Return what was asked for. Raises ValidationError."""
        body = self.asked(data=request.query_params)
        refuse_unknown_members(body, request.query_params)
        body.is_valid(raise_exception=True)
        read: dict[str, Any] = body.validated_data
        return read


def page_of(request: Request, events: list[Json], following: Place | None) -> Response:
    """Return one page of a query's answer, with the address of the next in the Link header."""
    headers = dict(VERSIONS)
    if following:
        query = request.query_params.copy()
        query["nextPageToken"] = f"{following.event}.{following.told}"
        address = request.build_absolute_uri(f"{request.path}?{query.urlencode()}")
        headers["Link"] = f'<{address}>; rel="next"'
    return Response(query_document(events, now()), headers=headers)
