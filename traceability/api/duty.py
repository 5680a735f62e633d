"""The duty record over the API: what beer in bond did in a period, each line down to its postings."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import CodeField, MomentField
from brewery.kernel.api.views import Recording
from brewery.science.duty.schemes import CAUTION
from inventory.api.codes import EventField, PlaceField
from inventory.models import Posting
from inventory.queries.registers import party_of
from inventory.queries.usage import Period
from inventory.queries.valuation import EARLIEST, LATEST
from traceability.models import DutyPurpose, DutyStanding
from traceability.queries.duty_lines import LINES
from traceability.queries.duty_record import duty_record, litres, postings_of
from traceability.queries.duty_report import record_as_data
from traceability.services.duty import tell_purpose, tell_standing

_DAY = {"type": "string", "format": "date"}
DAYS_ASKED = [OpenApiParameter(name, type=_DAY, required=True) for name in ("first", "last")]
"""The days of a period, in an address."""


class DutyPeriodAsked(serializers.Serializer[Any]):
    """From which day through which day, as the brewery's clock tells them."""

    first = serializers.DateField()
    last = serializers.DateField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read. Raises ValidationError where the days are in the wrong order or out of any record."""
        if attrs["last"] < attrs["first"]:
            raise serializers.ValidationError({"last": "Give a day that is not before the first."})
        if attrs["first"] < EARLIEST or attrs["last"] > LATEST:
            raise serializers.ValidationError({"first": f"Give days from {EARLIEST} to {LATEST}."})
        return attrs


class DutyPostingsAsked(DutyPeriodAsked):
    """Which line of which period, of all beer or of one product."""

    line = serializers.ChoiceField(choices=list(LINES))
    product = serializers.CharField(required=False, default="", max_length=40)


class DutyLineAnswer(serializers.Serializer[Any]):
    """A line: above zero what bond gained, below what it lost."""

    line = serializers.CharField()
    words = serializers.CharField()
    litres = serializers.CharField()


class DutyRowAnswer(serializers.Serializer[Any]):
    """One product of one measured strength in one container; `container_l` is null for beer in tanks.

    `container` is what packages are told to be: keg, cask, bottles or cans; empty where nobody told.
    """

    product = serializers.CharField()
    name = serializers.CharField()
    strength = serializers.CharField()
    container = serializers.CharField(allow_blank=True)
    container_l = serializers.CharField(allow_null=True)
    opening_l = serializers.CharField()
    late = DutyLineAnswer(many=True)
    lines = DutyLineAnswer(many=True)
    closing_l = serializers.CharField()


class DutyRecordAnswer(serializers.Serializer[Any]):
    """A period: what was in bond at the beginning, came, left and was lost, and what is there at the end."""

    first = serializers.DateField()
    last = serializers.DateField()
    rows = DutyRowAnswer(many=True)
    caution = serializers.CharField()


class DutyRecords(GenericAPIView[Any]):
    """What beer in bond did in a period, as it is known now."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = DutyRecordAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="duty_record", parameters=DAYS_ASKED)
    def get(self, request: Request) -> Response:
        """Answer the record."""
        asked = DutyPeriodAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        period = Period(**asked.validated_data)
        return Response({**record_as_data(period, duty_record(period)), "caution": CAUTION})


class DutyPostingAnswer(serializers.Serializer[Any]):
    """One posting of a line."""

    event = serializers.IntegerField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    lot = serializers.CharField()
    product = serializers.CharField()
    from_location = serializers.CharField()
    to_location = serializers.CharField()
    litres = serializers.CharField()


class DutyPostings(GenericAPIView[Any]):
    """The postings that a line is the sum of, the oldest first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = DutyPostingAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="duty_postings",
        parameters=[
            *DAYS_ASKED,
            OpenApiParameter("line", required=True, enum=list(LINES)),
            OpenApiParameter("product"),
        ],
        responses=DutyPostingAnswer(many=True),
    )
    def get(self, request: Request) -> Response:
        """Answer the postings."""
        asked = DutyPostingsAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        of = asked.validated_data
        found = postings_of(Period(of["first"], of["last"]), of["line"], of["product"])
        return Response([_posting(posting, pico) for posting, pico in found])


def _posting(posting: Posting, pico: int) -> dict[str, Any]:
    told = {
        "event": posting.event_id,
        "happened_at": posting.event.happened_at,
        "recorded_at": posting.event.recorded_at,
        "lot": posting.lot.code,
        "product": posting.lot.material.code,
        "from_location": posting.from_location.code,
        "to_location": posting.to_location.code,
        "litres": litres(pico),
    }
    return dict(DutyPostingAnswer(told).data)


class DutyStandingAsked(serializers.Serializer[Any]):
    """How a place or a party stands to duty, from a moment on: name one of them."""

    place = PlaceField(required=False, default=None)
    party = CodeField(thing="party", find=party_of, required=False, default=None)
    standing = serializers.ChoiceField(choices=DutyStanding.Standing.values)
    since = MomentField()


class DutyStandingAnswer(serializers.Serializer[DutyStanding]):
    """How a place or a party stands to duty from a moment on, until its next row."""

    id = serializers.IntegerField()
    place = serializers.CharField(source="place.code", allow_null=True, default=None)
    party = serializers.CharField(source="party.code", allow_null=True, default=None)
    standing = serializers.CharField()
    since = serializers.DateTimeField()
    told_at = serializers.DateTimeField()


class DutyStandings(Recording[DutyStanding]):
    """POST: say how a place or a party stands to duty."""

    right: ClassVar[Right] = Right.KEEP_DUTY
    serializer_class = answered = DutyStandingAnswer
    asked = DutyStandingAsked

    def record(self, **asked: Any) -> DutyStanding:
        """Record it."""
        return tell_standing(**asked)


class DutyPurposeAsked(serializers.Serializer[Any]):
    """What a shipment was for."""

    event = EventField()
    purpose = serializers.ChoiceField(choices=DutyPurpose.Purpose.values)


class DutyPurposeAnswer(serializers.Serializer[DutyPurpose]):
    """What a shipment was for; the last that was told counts."""

    id = serializers.IntegerField()
    event = serializers.IntegerField(source="event_id")
    purpose = serializers.CharField()
    told_at = serializers.DateTimeField()


class DutyPurposes(Recording[DutyPurpose]):
    """POST: say what a shipment was for, or put right what was said."""

    right: ClassVar[Right] = Right.KEEP_DUTY
    serializer_class = answered = DutyPurposeAnswer
    asked = DutyPurposeAsked

    def record(self, **asked: Any) -> DutyPurpose:
        """Record it."""
        return tell_purpose(**asked)
