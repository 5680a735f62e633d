"""Lots: what is counted, with where each is now."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.api.fields import BASE_UNITS, QuantityShown, quantity_of
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, RecordList
from brewery.kernel.clock import brewery_day
from inventory.api.decisions import DecisionAnswer
from inventory.models import Balance, Location, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.judgements import judgement_of
from inventory.queries.lots import lots_with_decisions, lots_with_places
from inventory.queries.measured_strengths import MeasuredStrength, measured_alcohol


class LyingAnswer(serializers.Serializer[Any]):
    """A place with how much of the lot lies there."""

    location = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(choices=Location.Kind.choices)
    quantity = serializers.CharField()
    unit = serializers.ChoiceField(choices=BASE_UNITS)


class LotAnswer(serializers.Serializer[Lot]):
    """One lot. `made` is what its first event made it with; `total` adds what counts have found over and above."""

    code = serializers.CharField()
    material = serializers.CharField(source="material.code")
    kind = serializers.ChoiceField(source="material.kind", choices=Material.Kind.choices)
    disposition = serializers.ChoiceField(choices=Disposition.choices)
    made_at = serializers.DateTimeField()
    made_by = serializers.IntegerField(source="made_by_id", help_text="The event that made it.")
    made = QuantityShown("made_micro", "material.base_unit")
    total = QuantityShown("total_micro", "material.base_unit")
    supplier = serializers.CharField(source="supplier.code", default=None, allow_null=True)
    supplier_lot = serializers.CharField()
    best_before = serializers.DateField(allow_null=True)
    generation = serializers.IntegerField(allow_null=True)
    where = serializers.SerializerMethodField()

    @extend_schema_field(LyingAnswer(many=True))
    def get_where(self, lot: Lot) -> list[dict[str, str]]:
        return [_lying(balance, lot) for balance in lot.balances.all()]


class AlcoholAnswer(serializers.Serializer[MeasuredStrength]):
    """The alcohol that a laboratory measured, in per cent by volume: never a computed one."""

    shown = serializers.CharField()
    method = serializers.CharField()
    laboratory = serializers.CharField()
    measured_on = serializers.DateField()


class LotInFull(LotAnswer):
    """One lot with every decision on it, the oldest first.

    Of packaged beer it also says what was measured of its alcohol, if anything was, and what of its required results
    is missing or outside of its limits.
    """

    decisions = DecisionAnswer(many=True)
    measured_alcohol = serializers.SerializerMethodField()
    against_release = serializers.SerializerMethodField()

    @extend_schema_field(AlcoholAnswer(allow_null=True))
    def get_measured_alcohol(self, lot: Lot) -> Any:
        found = measured_alcohol(lot) if lot.material.kind == Material.Kind.PACKAGED else None
        return AlcoholAnswer(found).data if found else None

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_against_release(self, lot: Lot) -> list[str]:
        if lot.material.kind != Material.Kind.PACKAGED:
            return []
        return [fault.sentence for fault in judgement_of(lot, brewery_day()).faults]


class LotFilters(django_filters.FilterSet):
    """Narrows the list of lots."""

    code = CodeFilter(field_name="code")
    code_contains = CodeFilter(field_name="code", lookup_expr="icontains")
    material = CodeFilter(field_name="material__code")
    kind = django_filters.ChoiceFilter(field_name="material__kind", choices=Material.Kind.choices)
    disposition = django_filters.ChoiceFilter(choices=Disposition.choices)
    supplier = CodeFilter(field_name="supplier__code")
    location = CodeFilter(method="lying_at")

    class Meta:
        model = Lot
        fields: tuple[str, ...] = ()

    def lying_at(self, lots: QuerySet[Lot], name: str, code: str) -> QuerySet[Lot]:
        """Return the lots of which something lies in the location."""
        return lots.filter(pk__in=Balance.objects.held().filter(location__code=code).values("lot"))


class Lots(RecordList):
    """Lots, the newest first; those made by mistake are left out."""

    queryset = lots_with_places()
    serializer_class = LotAnswer
    filterset_class = LotFilters


class OneLot(RecordDetail):
    """One lot by its code, with where it is now and every decision on it."""

    queryset = lots_with_decisions()
    serializer_class = LotInFull
    lookup_field = "code"
    thing: ClassVar[str] = "lot"


def _lying(balance: Balance, lot: Lot) -> dict[str, str]:
    return {
        "location": balance.location.code,
        "name": balance.location.name,
        "kind": balance.location.kind,
        **quantity_of(balance.quantity_micro, lot.material.base_unit),
    }
