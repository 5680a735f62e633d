"""Strains: what a yeast strain is held to, from a day on."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import PartsField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.production.models import StrainSetting
from brewery.production.services.strains import set_strain
from brewery.science.units import MICRO
from inventory.api.codes import MaterialField


class StrainSettingAnswer(serializers.ModelSerializer[StrainSetting]):
    """What a strain is held to: viability in %, the rate in million living cells for each mL and °P, times in days."""

    material = serializers.CharField(source="material.code")
    least_viability = PartsField(MICRO, source="least_viability_micro")
    rate = PartsField(MICRO, source="rate_micro")
    actor = serializers.CharField(source="request.actor.username")

    class Meta:
        model = StrainSetting
        fields = (
            "id",
            "material",
            "last_generation",
            "least_viability",
            "most_days",
            "rate",
            "harvest_from_days",
            "harvest_until_days",
            "in_force_from",
            "source",
            "actor",
        )


class StrainSettingAsked(serializers.Serializer[Any]):
    """What a strain is to be held to, all of it. The harvest window is in days since the pitch."""

    material = MaterialField()
    last_generation = serializers.IntegerField(min_value=1, max_value=100)
    least_viability = PartsField(MICRO, source="least_viability_micro")
    most_days = serializers.IntegerField(min_value=0, max_value=365)
    rate = PartsField(MICRO, source="rate_micro")
    harvest_from_days = serializers.IntegerField(min_value=0, max_value=365, required=False, allow_null=True)
    harvest_until_days = serializers.IntegerField(min_value=0, max_value=365, required=False, allow_null=True)
    in_force_from = serializers.DateField()
    source = TextField(max_length=200, required=False, allow_blank=True, default="")  # type: ignore[assignment]


class StrainSettingFilters(django_filters.FilterSet):
    """Narrows the list of settings."""

    material = CodeFilter(field_name="material__code")

    class Meta:
        model = StrainSetting
        fields: tuple[str, ...] = ()


class StrainSettings(RecordList, Recording[StrainSetting]):
    """Settings of strains, the last set first; POST sets one anew from a day on."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.SPECIFY}
    queryset = StrainSetting.objects.select_related("material", "request__actor")
    serializer_class = answered = StrainSettingAnswer
    asked = StrainSettingAsked
    filterset_class = StrainSettingFilters

    def record(self, **asked: Any) -> StrainSetting:
        """Set it."""
        return set_strain(**asked)
