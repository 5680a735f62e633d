"""Usage over the API: what materials did in a period, its postings, and what brews drew beside their sheets."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.models import User
from brewery.science.units import format_micro
from inventory.api.codes import MaterialField
from inventory.queries.usage import Period
from traceability.api.duty import DAYS_ASKED, DutyPeriodAsked
from traceability.queries.usage_postings import FIGURES, Figure, UsagePosting
from traceability.queries.usage_report import By, UsageRow, usage_rows
from traceability.queries.usage_tables import MASSES, VOLUMES, Units, costs_of
from traceability.queries.usage_variance import Variance, variances

PAGE = 200


class UsageAsked(DutyPeriodAsked):
    """Which days, by what, in which units."""

    by = serializers.ChoiceField(choices=[one.value for one in By], default=By.MATERIAL.value)
    mass = serializers.ChoiceField(choices=MASSES, default="kg")
    volume = serializers.ChoiceField(choices=VOLUMES, default="L")


class UsagePostingsAsked(UsageAsked):
    """Which figure of which material, or of which product, brew or lot within it; `page` of 200 postings each."""

    material = MaterialField()
    column = serializers.ChoiceField(choices=list(FIGURES))
    key = serializers.CharField(default="", allow_blank=True)
    page = serializers.IntegerField(min_value=1, max_value=10**9, default=1)


REPORT_ASKED = [
    *DAYS_ASKED,
    OpenApiParameter("by", enum=[one.value for one in By]),
    OpenApiParameter("mass", enum=MASSES),
    OpenApiParameter("volume", enum=VOLUMES),
]


class UsageRowAnswer(serializers.Serializer[Any]):
    """A row, in the unit of its material: above zero what came in, below what went out.

    Opening, closing and what was used before are of whole materials alone. Costs are null without the right to see
    them.
    """

    material = serializers.CharField()
    name = serializers.CharField()
    key = serializers.CharField(help_text='The product, brew or lot; "" for all of the material.')
    unit = serializers.CharField()
    opening = serializers.CharField(allow_null=True)
    columns = serializers.DictField(child=serializers.CharField())
    closing = serializers.CharField(allow_null=True)
    used_before = serializers.CharField(allow_null=True)
    used_year_before = serializers.CharField(allow_null=True)
    used_cost = serializers.CharField(allow_null=True)
    without_cost = serializers.CharField(allow_null=True)


class UsagePostingAnswer(serializers.Serializer[Any]):
    """One posting of a figure: what came (above zero) or went by it, and the sum of all until it."""

    event = serializers.IntegerField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    lot = serializers.CharField()
    from_location = serializers.CharField()
    to_location = serializers.CharField()
    quantity = serializers.CharField()
    so_far = serializers.CharField()


class UsagePostingsAnswer(serializers.Serializer[Any]):
    """The postings that a figure is the sum of: how many there are, the figure, and a page of them."""

    count = serializers.IntegerField()
    total = serializers.CharField()
    unit = serializers.CharField()
    postings = UsagePostingAnswer(many=True)


class UsageVarianceAnswer(serializers.Serializer[Any]):
    """One material of one brew: wanted by the sheet, and drawn; in kg of alpha acids where the sheet weighs those."""

    brew = serializers.CharField()
    beer = serializers.CharField()
    material = serializers.CharField()
    unit = serializers.CharField()
    is_alpha = serializers.BooleanField()
    wanted = serializers.CharField()
    drawn = serializers.CharField(allow_null=True)
    off_pct = serializers.FloatField(allow_null=True)
    is_doubted = serializers.BooleanField()


class _Answers(GenericAPIView[Any]):
    """A plain list that is not paged."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    pagination_class = None
    filter_backends = ()


class Usages(_Answers):
    """What materials did in a period."""

    serializer_class = UsageRowAnswer

    @extend_schema(
        operation_id="usage",
        parameters=REPORT_ASKED,
        responses=UsageRowAnswer(many=True),
    )
    def get(self, request: Request) -> Response:
        """Answer the rows by material, product, brew or lot."""
        asked = UsageAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        told = asked.validated_data
        costs = isinstance(request.user, User) and request.user.has_right(Right.KEEP_COSTS)
        rows = usage_rows(Period(told["first"], told["last"]), By(told["by"]))
        return Response([_row(row, Units(told["mass"], told["volume"]), costs) for row in rows])


class UsagePostings(_Answers):
    """The postings that a figure is the sum of."""

    serializer_class = UsagePostingsAnswer

    @extend_schema(
        operation_id="usage_postings",
        parameters=[
            *REPORT_ASKED,
            OpenApiParameter("material", required=True),
            OpenApiParameter("column", enum=list(FIGURES), required=True),
            OpenApiParameter("key"),
            OpenApiParameter("page", type=int),
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer a page of the postings, the oldest first."""
        asked = UsagePostingsAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        told = asked.validated_data
        units, period = Units(told["mass"], told["volume"]), Period(told["first"], told["last"])
        figure = Figure(period, told["material"], told["column"], By(told["by"]), told["key"])
        rows = figure.postings((told["page"] - 1) * PAGE, PAGE)
        answer = {
            "count": figure.count,
            "total": str(units.amount(figure.total_micro, figure.material)),
            "unit": units.of(figure.material),
            "postings": [_posting(one, figure, units) for one in rows],
        }
        return Response(UsagePostingsAnswer(answer).data)


class UsageVariances(_Answers):
    """What brews drew beside their sheets."""

    serializer_class = UsageVarianceAnswer

    @extend_schema(operation_id="usage_variances", parameters=DAYS_ASKED, responses=UsageVarianceAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer them for the brews by a sheet that began in the days, brew by brew."""
        asked = DutyPeriodAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response([_variance(one) for one in variances(Period(**asked.validated_data))])


def _row(row: UsageRow, units: Units, costs: bool) -> dict[str, Any]:
    def told(micro: int | None) -> str | None:
        return None if micro is None else str(units.amount(micro, row.material))

    return {
        "material": row.material.code,
        "name": row.material.name,
        "key": row.key,
        "unit": units.of(row.material),
        "opening": told(row.opening_micro),
        "columns": {name: told(micro) for name, micro in row.columns.items() if micro},
        "closing": told(row.closing_micro),
        "used_before": told(row.used_before_micro),
        "used_year_before": told(row.used_year_before_micro),
        "used_cost": costs_of(row.cost) if costs else None,
        "without_cost": told(row.cost.without_cost_micro) if costs else None,
    }


def _posting(one: UsagePosting, figure: Figure, units: Units) -> dict[str, Any]:
    posting, event = one.posting, one.posting.event
    return {
        "event": event.pk,
        "happened_at": event.happened_at,
        "recorded_at": event.recorded_at,
        "lot": posting.lot.code,
        "from_location": posting.from_location.code,
        "to_location": posting.to_location.code,
        "quantity": str(units.amount(one.micro, figure.material)),
        "so_far": str(units.amount(one.so_far_micro, figure.material)),
    }


def _variance(one: Variance) -> dict[str, Any]:
    unit = one.material.base_unit
    return {
        "brew": one.brew.code,
        "beer": one.brew.beer.code,
        "material": one.material.code,
        "unit": unit,
        "is_alpha": one.is_alpha,
        "wanted": format_micro(one.wanted_micro, unit),
        "drawn": None if one.drawn_micro is None else format_micro(one.drawn_micro, unit),
        "off_pct": one.off_pct,
        "is_doubted": one.is_doubted,
    }
