"""Locations: where lots lie."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import NamedQuantity, PartsField, QuantityShown, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.kernel.clock import now
from brewery.science.units import MICRO, BaseUnit, format_micro
from inventory.models import Location
from inventory.queries.warmths import warmth_of
from inventory.services.registers import add_location

MILLI = 1000


class LocationAnswer(serializers.ModelSerializer[Location]):
    """One location, and how warm it is kept now; `party` is whose it is, where it stands for a supplier or customer."""

    party = serializers.CharField(source="party.code", default=None, allow_null=True)
    capacity = QuantityShown("capacity_micro", "capacity_unit", allow_null=True)
    temperature_c = serializers.SerializerMethodField()
    band = QuantityShown("band_micro", BaseUnit.KG, allow_null=True)

    class Meta:
        model = Location
        fields = (
            "code",
            "name",
            "kind",
            "filling",
            "holds_one_lot",
            "must_be_cleaned",
            "capacity",
            "temperature_c",
            "band",
            "party",
        )

    def get_temperature_c(self, place: Location) -> str | None:
        milli_c = warmth_of(place, now())
        return None if milli_c is None else format_micro(milli_c * (MICRO // MILLI), "each")


class LocationAsked(serializers.Serializer[Any]):
    """A new place inside the brewery, and how warm it is kept. `filling` belongs to silos only.

    `band` belongs to layered silos: how much on either side of where two layers meet may hold some of both.
    Tanks and brinks must be cleaned between two uses unless `must_be_cleaned` says otherwise.
    """

    code = TextField(max_length=40)
    name = TextField(max_length=120)
    kind = serializers.ChoiceField(choices=[(kind.value, kind.label) for kind in Location.ENTERED])
    filling = serializers.ChoiceField(choices=Location.Filling.choices, required=False)
    capacity = NamedQuantity(required=False)
    temperature_c = PartsField(MILLI, source="nominal_milli_c", required=False)
    band = NamedQuantity(required=False, base=BaseUnit.KG)
    must_be_cleaned = serializers.BooleanField(required=False)


class LocationFilters(django_filters.FilterSet):
    """Narrows the list of locations."""

    kind = django_filters.ChoiceFilter(choices=Location.Kind.choices)
    code_contains = CodeFilter(field_name="code", lookup_expr="icontains")

    class Meta:
        model = Location
        fields: tuple[str, ...] = ()


class Locations(RecordList, Recording[Location]):
    """All locations, those of parties and the boundaries of the stock among them; POST enters a place inside."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_REGISTERS}
    queryset = Location.objects.select_related("party").prefetch_related("warmths")
    serializer_class = answered = LocationAnswer
    asked = LocationAsked
    filterset_class = LocationFilters
    ordering: ClassVar[str] = "code"

    def record(self, **asked: Any) -> Location:
        """Enter the place."""
        capacity = asked.pop("capacity", None)
        known = {"capacity_micro": capacity.micro, "capacity_unit": capacity.base.value} if capacity else {}
        band = asked.pop("band", None)
        return add_location(**asked, **known, band_micro=band.micro if band else None)


class OneLocation(RecordDetail):
    """One location by its code."""

    queryset = Location.objects.select_related("party").prefetch_related("warmths")
    serializer_class = LocationAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "location"
