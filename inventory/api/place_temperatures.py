"""How warm places are kept, from when on."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, PartsField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from inventory.api.codes import PlaceField
from inventory.api.locations import MILLI
from inventory.models import Warmth
from inventory.services.warmths import keep_place_at


class PlaceTemperatureAnswer(serializers.ModelSerializer[Warmth]):
    """Since when a place is kept how warm; null where nobody knows."""

    location = serializers.CharField(source="location.code")
    temperature_c = PartsField(MILLI, source="milli_c", allow_null=True)
    actor = serializers.CharField(source="actor.username")

    class Meta:
        model = Warmth
        fields = ("id", "location", "since", "temperature_c", "recorded_at", "actor")


class PlaceTemperatureAsked(serializers.Serializer[Any]):
    """From when on a place is kept how warm, in degrees Celsius; null where nobody knows."""

    location = PlaceField()
    since = MomentField()
    temperature_c = PartsField(MILLI, source="milli_c", allow_null=True)


class PlaceTemperatureFilters(django_filters.FilterSet):
    """Narrows the list."""

    location = CodeFilter(field_name="location__code")

    class Meta:
        model = Warmth
        fields: tuple[str, ...] = ()


class PlaceTemperatures(RecordList, Recording[Warmth]):
    """How warm places are kept, the last recorded first; POST says so from a moment on."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_REGISTERS}
    queryset = Warmth.objects.select_related("location", "actor")
    serializer_class = answered = PlaceTemperatureAnswer
    asked = PlaceTemperatureAsked
    filterset_class = PlaceTemperatureFilters

    def record(self, **asked: Any) -> Warmth:
        """Set it."""
        return keep_place_at(**asked)
