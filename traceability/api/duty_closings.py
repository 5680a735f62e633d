"""Closed duty periods over the API: what is missing before one is closed, the closing, its amendment, its archive."""

from typing import Any, ClassVar

from django.utils.http import content_disposition_header
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.renderers import ZipRenderer
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.science.duty.known import SCHEMES
from inventory.queries.usage import Period
from traceability.api.duty import DutyPeriodAsked
from traceability.models import DutyClosing
from traceability.queries.duty_archive import archive_name, archive_of
from traceability.queries.duty_periods import missing_for
from traceability.services.duty_periods import amend_period, close_period, refuse_no_period

_DAY = {"type": "string", "format": "date"}


class DutyClosingAsked(DutyPeriodAsked):
    """Which period, under which scheme."""

    scheme = serializers.ChoiceField(choices=list(SCHEMES))


class DutyClosingAnswer(serializers.Serializer[DutyClosing]):
    """One closing or amendment; `digest` is the SHA-256 of what was kept, `seal` that of the chain of seals then."""

    id = serializers.IntegerField()
    scheme = serializers.CharField()
    first = serializers.DateField()
    last = serializers.DateField()
    closed_at = serializers.DateTimeField()
    digest = serializers.CharField()
    seal = serializers.CharField(source="seal.digest", allow_null=True, default=None)
    amends = serializers.IntegerField(source="amends_id", allow_null=True)
    reason = serializers.CharField()
    actor = serializers.CharField(source="actor.username")


class DutyClosings(RecordList, Recording[DutyClosing]):
    """The closed periods, the last closed first; POST closes one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_DUTY}
    queryset = DutyClosing.objects.select_related("actor", "seal")
    serializer_class = answered = DutyClosingAnswer
    asked = DutyClosingAsked
    filter_backends = ()

    def record(self, **asked: Any) -> DutyClosing:
        """Close it."""
        return close_period(**asked)


class DutyAmendmentAsked(serializers.Serializer[Any]):
    """Which closing is amended, and why."""

    closing = serializers.PrimaryKeyRelatedField(queryset=DutyClosing.objects.all())
    reason = TextField(max_length=400)


class DutyAmendments(Recording[DutyClosing]):
    """POST: keep a closed period anew with what was recorded late, where the scheme takes amendments."""

    right: ClassVar[Right] = Right.KEEP_DUTY
    serializer_class = answered = DutyClosingAnswer
    asked = DutyAmendmentAsked

    def record(self, **asked: Any) -> DutyClosing:
        """Amend it."""
        return amend_period(**asked)


class DutyMissingAnswer(serializers.Serializer[Any]):
    """One thing that is not settled; one that `must` be keeps the period open."""

    words = serializers.CharField()
    must = serializers.BooleanField()


class DutyMissing(GenericAPIView[Any]):
    """What is not settled before a period is closed."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = DutyMissingAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="duty_missing",
        parameters=[
            OpenApiParameter("first", type=_DAY, required=True),
            OpenApiParameter("last", type=_DAY, required=True),
            OpenApiParameter("scheme", required=True, enum=list(SCHEMES)),
        ],
        responses=DutyMissingAnswer(many=True),
    )
    def get(self, request: Request) -> Response:
        """Answer the list."""
        asked = DutyClosingAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        of = asked.validated_data
        period = Period(of["first"], of["last"])
        refuse_no_period(of["scheme"], period)
        return Response(DutyMissingAnswer(missing_for(of["scheme"], period), many=True).data)


class DutyArchive(RecordDetail):
    """A closed period as files that are read and checked without this service."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    queryset = DutyClosing.objects.select_related("actor", "seal")
    lookup_field = "pk"
    thing = "closing"
    renderer_classes = (ZipRenderer,)

    @extend_schema(
        operation_id="duty_archive",
        responses={(200, "application/zip"): OpenApiResponse(OpenApiTypes.BINARY, description="CSV, JSON, digests.")},
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer the archive."""
        closing = self.get_object()
        name = content_disposition_header(True, f"{archive_name(closing)}.zip") or "attachment"
        return Response(archive_of(closing), headers={"Content-Disposition": name})
