"""Balances: what lies where now."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from brewery.kernel.api.fields import BASE_UNITS, quantity_of
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordList
from inventory.models import Balance, Location, Material
from inventory.models.dispositions import Disposition

INSIDE, OUTSIDE, ANYWHERE = "inside", "outside", "anywhere"


class BalanceAnswer(serializers.Serializer[Balance]):
    """A quantity of a lot in a place."""

    lot = serializers.CharField(source="lot.code")
    material = serializers.CharField(source="lot.material.code")
    kind = serializers.ChoiceField(source="lot.material.kind", choices=Material.Kind.choices)
    disposition = serializers.ChoiceField(source="lot.disposition", choices=Disposition.choices)
    location = serializers.CharField(source="location.code")
    quantity = serializers.CharField()
    unit = serializers.ChoiceField(choices=BASE_UNITS)

    def to_representation(self, balance: Balance) -> dict[str, Any]:
        """Return the balance as answers show it."""
        return {
            "lot": balance.lot.code,
            "material": balance.lot.material.code,
            "kind": balance.lot.material.kind,
            "disposition": balance.lot.disposition,
            "location": balance.location.code,
            **quantity_of(balance.quantity_micro, balance.lot.material.base_unit),
        }


class BalanceFilters(django_filters.FilterSet):
    """Narrows the balances. Without `where`, and without `location`, only what lies inside the brewery is shown."""

    lot = CodeFilter(field_name="lot__code")
    material = CodeFilter(field_name="lot__material__code")
    location = CodeFilter(field_name="location__code")
    where = django_filters.ChoiceFilter(choices=[(one, one) for one in (INSIDE, OUTSIDE, ANYWHERE)], method="narrow")

    class Meta:
        model = Balance
        fields: tuple[str, ...] = ()

    def narrow(self, rows: QuerySet[Balance], name: str, where: str) -> QuerySet[Balance]:
        """Return those inside, outside or anywhere."""
        if where == ANYWHERE:
            return rows
        inside = {"location__kind__in": Location.INSIDE}
        return rows.filter(**inside) if where == INSIDE else rows.exclude(**inside)

    def filter_queryset(self, queryset: QuerySet[Balance]) -> QuerySet[Balance]:
        """Return what the filters leave."""
        if not self.form.cleaned_data["where"] and not self.form.cleaned_data["location"]:
            queryset = self.narrow(queryset, "where", INSIDE)
        filtered: QuerySet[Balance] = super().filter_queryset(queryset)
        return filtered


class Balances(RecordList):
    """What lies where now: in stock, and with `where=outside` at customers, lost or destroyed."""

    queryset = Balance.objects.held().select_related("lot__material", "location")
    serializer_class = BalanceAnswer
    filterset_class = BalanceFilters
    ordering: ClassVar[str] = "id"
