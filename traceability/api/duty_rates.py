"""What a duty scheme is reckoned by over the API: its rates, the answers to its questions, and the worksheet."""

from decimal import Decimal
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
from brewery.kernel.api.renderers import PdfRenderer
from brewery.kernel.api.views import Recording
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.schemes import CAUTION
from inventory.queries.usage import Period
from traceability.api.duty import DAYS_ASKED
from traceability.api.duty_closings import DutyClosingAsked
from traceability.models import DutyFacts, DutyRate
from traceability.printing.duty_sheets import period_as_pdf
from traceability.queries.duty_rates import facts_from, known_rates
from traceability.queries.duty_worksheets import worksheet_as_data
from traceability.services.duty_periods import refuse_no_period
from traceability.services.duty_rates import enter_rate, tell_facts

_SCHEME = OpenApiParameter("scheme", enum=list(SCHEMES), required=True)


class DutySchemeAsked(serializers.Serializer[Any]):
    """Which scheme."""

    scheme = serializers.ChoiceField(choices=list(SCHEMES))


class KnownRateAnswer(serializers.Serializer[Any]):
    """A rate; `value` is null where no source gave it, `checked_on` until somebody compared it with the law."""

    key = serializers.CharField(source="rate.key")
    value = serializers.DecimalField(
        source="rate.value", max_digits=16, decimal_places=6, allow_null=True, normalize_output=True
    )
    unit = serializers.CharField(source="rate.unit")
    valid_from = serializers.DateField(source="rate.valid_from")
    valid_until = serializers.DateField(source="rate.valid_until", allow_null=True)
    source = serializers.CharField(source="rate.source")  # type: ignore[assignment]
    checked_on = serializers.DateField(source="rate.checked_on", allow_null=True)
    entered_by = serializers.CharField(source="entered.actor.username", allow_null=True, default=None)


class DutyRateAsked(serializers.Serializer[Any]):
    """A rate of a scheme from a day on, with its source."""

    scheme = serializers.ChoiceField(choices=list(SCHEMES))
    key = TextField(max_length=60)
    value = serializers.DecimalField(max_digits=16, decimal_places=6)
    valid_from = serializers.DateField()
    valid_until = serializers.DateField(required=False, allow_null=True, default=None)
    source = TextField(max_length=400)  # type: ignore[assignment]
    checked_on = serializers.DateField(required=False, allow_null=True, default=None)


class DutyRateAnswer(serializers.Serializer[DutyRate]):
    """The rate as it is on record."""

    id = serializers.IntegerField()
    scheme = serializers.CharField()
    key = serializers.CharField()
    value = serializers.SerializerMethodField(method_name="figure")
    valid_from = serializers.DateField()
    valid_until = serializers.DateField(allow_null=True)
    source = serializers.CharField()  # type: ignore[assignment]
    checked_on = serializers.DateField(allow_null=True)
    told_at = serializers.DateTimeField()

    def figure(self, row: DutyRate) -> str:
        """The exact figure."""
        return f"{Decimal(row.value_micro).scaleb(-6).normalize():f}"


class DutyRates(Recording[DutyRate]):
    """The rates of a scheme, those that came with it and those that were entered; POST enters one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_DUTY}
    serializer_class = answered = DutyRateAnswer
    asked = DutyRateAsked
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="duty_rates", parameters=[_SCHEME], responses=KnownRateAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer the rates by key and day."""
        asked = DutySchemeAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response(KnownRateAnswer(known_rates(asked.validated_data["scheme"]), many=True).data)

    def record(self, **asked: Any) -> DutyRate:
        """Enter it."""
        return enter_rate(**asked)


class DutyFactsAsked(serializers.Serializer[Any]):
    """The answers to a scheme's questions from a day on: a number as text, or true or false."""

    scheme = serializers.ChoiceField(choices=list(SCHEMES))
    since = serializers.DateField()
    facts = serializers.DictField(child=serializers.JSONField())

    def validate_facts(self, told: dict[str, Any]) -> dict[str, Decimal | bool]:
        """Return the answers. Raises ValidationError where one is neither a number nor yes or no."""
        try:
            return facts_from({key: one if isinstance(one, bool) else str(one) for key, one in told.items()})
        except ArithmeticError as wrong:
            raise serializers.ValidationError("An answer is a number, such as 5000, or true or false.") from wrong


class DutyFactsAnswer(serializers.Serializer[DutyFacts]):
    """The answers as they are on record."""

    id = serializers.IntegerField()
    scheme = serializers.CharField()
    since = serializers.DateField()
    facts = serializers.DictField()
    told_at = serializers.DateTimeField()


class DutyAnswers(Recording[DutyFacts]):
    """POST: answer a scheme's questions from a day on."""

    right: ClassVar[Right] = Right.KEEP_DUTY
    serializer_class = answered = DutyFactsAnswer
    asked = DutyFactsAsked

    def record(self, **asked: Any) -> DutyFacts:
        """Keep them."""
        return tell_facts(**asked)


class DutyWorksheetAnswer(serializers.Serializer[Any]):
    """A worksheet with its answers and rates; `sheet` is null where `refused` says what is missing."""

    facts = serializers.DictField()
    rates = serializers.ListField(child=serializers.DictField())
    doubts = serializers.ListField(child=serializers.CharField())
    refused = serializers.CharField()
    sheet = serializers.DictField(allow_null=True)
    caution = serializers.CharField()


class DutyWorksheets(GenericAPIView[Any]):
    """A period as its authority asks for it: a worksheet, not a filing."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = DutyWorksheetAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="duty_worksheet", parameters=[_SCHEME, *DAYS_ASKED])
    def get(self, request: Request) -> Response:
        """Answer the worksheet, by the answers that are kept."""
        return Response({**worksheet_as_data(*_period_asked(request)), "caution": CAUTION})


class DutyWorksheetDocument(GenericAPIView[Any]):
    """The period with its worksheet as PDF; of a closed one, as it was kept."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    pagination_class = None
    filter_backends = ()
    renderer_classes = (PdfRenderer,)

    @extend_schema(
        operation_id="duty_worksheet_document",
        parameters=[_SCHEME, *DAYS_ASKED],
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, description="Ready to be printed.")},
    )
    def get(self, request: Request) -> Response:
        """Answer the PDF."""
        scheme, period = _period_asked(request)
        name = content_disposition_header(False, f"duty-{scheme}-{period.first}-{period.last}.pdf") or "inline"
        return Response(period_as_pdf(scheme, period), headers={"Content-Disposition": name})


def _period_asked(request: Request) -> tuple[str, Period]:
    asked = DutyClosingAsked(data=request.query_params)
    asked.is_valid(raise_exception=True)
    told = asked.validated_data
    period = Period(told["first"], told["last"])
    refuse_no_period(told["scheme"], period)
    return told["scheme"], period
