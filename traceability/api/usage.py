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
from inventory.queries.usage import COLUMNS, Period
from traceability.api.duty import DAYS_ASKED, DutyPeriodAsked
from traceability.queries.usage_moves import postings_of_usage
from traceability.queries.usage_report import By, UsageRow, usage_rows
from traceability.queries.usage_tables import costs_of
from traceability.queries.usage_variance import Variance, variances


class UsageAsked(DutyPeriodAsked):
    """Which days, and by what."""

    by = serializers.ChoiceField(choices=[one.value for one in By], default=By.MATERIAL.value)


class UsagePostingsAsked(DutyPeriodAsked):
    """Which column of which material in which days."""

    material = MaterialField()
    column = serializers.ChoiceField(choices=list(COLUMNS))


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
    """One posting of a column: what came (above zero) or went by it."""

    event = serializers.IntegerField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    lot = serializers.CharField()
    from_location = serializers.CharField()
    to_location = serializers.CharField()
    quantity = serializers.CharField()
    unit = serializers.CharField()


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
        parameters=[*DAYS_ASKED, OpenApiParameter("by", enum=[one.value for one in By])],
        responses=UsageRowAnswer(many=True),
    )
    def get(self, request: Request) -> Response:
        """Answer the rows by material, product, brew or lot."""
        asked = UsageAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        told = asked.validated_data
        costs = isinstance(request.user, User) and request.user.has_right(Right.KEEP_COSTS)
        rows = usage_rows(Period(told["first"], told["last"]), By(told["by"]))
        return Response([_row(row, costs) for row in rows])


class UsagePostings(_Answers):
    """The postings that a figure is the sum of."""

    serializer_class = UsagePostingAnswer

    @extend_schema(
        operation_id="usage_postings",
        parameters=[
            *DAYS_ASKED,
            OpenApiParameter("material", required=True),
            OpenApiParameter("column", enum=list(COLUMNS), required=True),
        ],
        responses=UsagePostingAnswer(many=True),
    )
    def get(self, request: Request) -> Response:
        """Answer the postings, the oldest first."""
        asked = UsagePostingsAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        told = asked.validated_data
        found = postings_of_usage(Period(told["first"], told["last"]), told["material"], told["column"])
        unit = told["material"].base_unit
        return Response([_posting(posting, micro, unit) for posting, micro in found])


class UsageVariances(_Answers):
    """What brews drew beside their sheets."""

    serializer_class = UsageVarianceAnswer

    @extend_schema(operation_id="usage_variances", parameters=DAYS_ASKED, responses=UsageVarianceAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer them for the brews by a sheet that began in the days, brew by brew."""
        asked = DutyPeriodAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response([_variance(one) for one in variances(Period(**asked.validated_data))])


def _row(row: UsageRow, costs: bool) -> dict[str, Any]:
    unit = row.material.base_unit

    def told(micro: int | None) -> str | None:
        return None if micro is None else format_micro(micro, unit)

    return {
        "material": row.material.code,
        "name": row.material.name,
        "key": row.key,
        "unit": unit,
        "opening": told(row.opening_micro),
        "columns": {name: told(micro) for name, micro in row.columns.items() if micro},
        "closing": told(row.closing_micro),
        "used_before": told(row.used_before_micro),
        "used_year_before": told(row.used_year_before_micro),
        "used_cost": costs_of(row.worth) if costs else None,
        "without_cost": told(row.worth.without_cost_micro) if costs else None,
    }


def _posting(posting: Any, micro: int, unit: str) -> dict[str, Any]:
    event = posting.event
    return {
        "event": event.pk,
        "happened_at": event.happened_at,
        "recorded_at": event.recorded_at,
        "lot": posting.lot.code,
        "from_location": posting.from_location.code,
        "to_location": posting.to_location.code,
        "quantity": format_micro(micro, unit),
        "unit": unit,
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
