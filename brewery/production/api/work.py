"""What brews and packaging runs have in common: how one is started, and how it is shown."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.api.fields import BASE_UNITS, MomentField, TextField, quantity_of
from brewery.kernel.api.filters import CodeFilter, MomentFilter
from brewery.production.models import Brew, PackagingRun
from inventory.api.codes import MaterialField


class DrawnAnswer(serializers.Serializer[Any]):
    """A lot that was drawn, and how much of it lies here now."""

    lot = serializers.CharField()
    material = serializers.CharField()
    quantity = serializers.CharField()
    unit = serializers.ChoiceField(choices=BASE_UNITS)


class WorkAnswer(serializers.Serializer[Brew | PackagingRun]):
    """A brew or run; `finished_by` is the event that made something of it, and until then it `holds` what was drawn."""

    code = serializers.CharField()
    beer = serializers.CharField(source="beer.code")
    started_at = serializers.DateTimeField()
    finished_by = serializers.IntegerField(source="finished_by_id", allow_null=True)
    holds = serializers.SerializerMethodField()

    @extend_schema_field(DrawnAnswer(many=True))
    def get_holds(self, work: Brew | PackagingRun) -> list[dict[str, str]]:
        return [
            {
                "lot": row.lot.code,
                "material": row.lot.material.code,
                **quantity_of(row.quantity_micro, row.lot.material.base_unit),
            }
            for row in work.location.balances.all()
        ]


class WorkAsked(serializers.Serializer[Any]):
    """A brew or run to start, and the beer that it is to become."""

    code = TextField(max_length=20)
    beer = MaterialField()
    started_at = MomentField()


class WorkFilters(django_filters.FilterSet):
    """Narrows the list of brews or runs."""

    code_contains = CodeFilter(field_name="code", lookup_expr="icontains")
    beer = CodeFilter(field_name="beer__code")
    started_from = MomentFilter(field_name="started_at", lookup_expr="gte")
    started_before = MomentFilter(field_name="started_at", lookup_expr="lt")
    finished = django_filters.BooleanFilter(method="narrow")

    def narrow(self, rows: QuerySet[Any], name: str, finished: bool) -> QuerySet[Any]:
        """Return those of which something was made, or those still under way."""
        return rows.filter(finished_by_id__isnull=not finished)
