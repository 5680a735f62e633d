"""How long things keep: the moments that are kept, packs and rates of hops, and the alpha acids of a lot on a day."""

from datetime import datetime, time
from typing import Any, ClassVar

import django_filters
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, PartsField, QuantityAnswer, TextField, quantity_of
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.science.hops import Pack
from brewery.science.units import MICRO
from inventory.api.codes import LotField, MaterialField
from inventory.models import Balance, HopRate, Keeping, Location, Lot, Material, PackChange
from inventory.queries.hop_alpha import AlphaToday, alphas_of
from inventory.queries.keepings import keepings
from inventory.services.hop_keeping import NoHop, change_pack, give_hop_rate
from inventory.services.keepings import keeping_rules

PLACES = 4


class KeepingAnswer(serializers.Serializer[Any]):
    """When a part of a lot crosses a limit: null is never, or where `is_known` is false nobody can tell."""

    lot = serializers.CharField(source="lot.code")
    location = serializers.CharField(source="location.code")
    held = serializers.SerializerMethodField()
    limit = serializers.CharField(source="rule")
    crosses_at = serializers.DateTimeField(allow_null=True)
    is_known = serializers.BooleanField()

    @extend_schema(responses=QuantityAnswer)
    def get_held(self, row: Any) -> dict[str, Any]:
        return quantity_of(row.held_micro or 0, row.lot.material.base_unit)


class KeepingFilters(django_filters.FilterSet):
    """Narrows the list; `crosses_before` leaves those that cross before a moment."""

    lot = CodeFilter(field_name="lot__code")
    location = CodeFilter(field_name="location__code")
    material = CodeFilter(field_name="lot__material__code")
    limit = django_filters.CharFilter(field_name="rule")
    crosses_before = django_filters.IsoDateTimeFilter(field_name="crosses_at", lookup_expr="lt")

    class Meta:
        model = Keeping
        fields: tuple[str, ...] = ()


class Keepings(RecordList):
    """When what is on hand crosses its limits, as worked out last; the limits are alpha, viability and beer_age."""

    serializer_class = KeepingAnswer
    filterset_class = KeepingFilters

    def get_queryset(self) -> Any:
        """Return the rows."""
        return keepings().filter(rule__in=list(keeping_rules()))


class PackChangeAnswer(serializers.ModelSerializer[PackChange]):
    """From when on the rest of a hop lot lies in which pack."""

    lot = serializers.CharField(source="lot.code")
    actor = serializers.CharField(source="actor.username")

    class Meta:
        model = PackChange
        fields = ("id", "lot", "since", "pack", "recorded_at", "actor")


class PackChangeAsked(serializers.Serializer[Any]):
    """From when on the rest of a hop lot lies in which pack."""

    lot = LotField()
    since = MomentField()
    pack = serializers.ChoiceField(choices=[(pack.value, pack.value) for pack in Pack])


class LotFilters(django_filters.FilterSet):
    """Narrows a list to one lot."""

    lot = CodeFilter(field_name="lot__code")

    class Meta:
        model = PackChange
        fields: tuple[str, ...] = ()


class PackChanges(RecordList, Recording[PackChange]):
    """When packs of hop lots were opened or sealed, the last recorded first; POST says so."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.MOVE_STOCK}
    queryset = PackChange.objects.select_related("lot", "actor")
    serializer_class = answered = PackChangeAnswer
    asked = PackChangeAsked
    filterset_class = LotFilters

    def record(self, **asked: Any) -> PackChange:
        """Write it down."""
        return change_pack(**asked)


class HopRateAnswer(serializers.ModelSerializer[HopRate]):
    """What a hop lot, or every lot of a hop, loses of its alpha acids in 180 days at 20 °C in the open, in %."""

    lot = serializers.CharField(source="lot.code", default=None, allow_null=True)
    material = serializers.CharField(source="material.code", default=None, allow_null=True)
    loss_pct = PartsField(MICRO, source="loss_micro_pct", allow_null=True)
    actor = serializers.CharField(source="actor.username")

    class Meta:
        model = HopRate
        fields = ("id", "lot", "material", "loss_pct", "source", "recorded_at", "actor")


class HopRateAsked(serializers.Serializer[Any]):
    """What a hop lot, or every lot of a hop, loses in 180 days at 20 °C in the open, in %; null takes it back."""

    lot = LotField(required=False, default=None)
    material = MaterialField(required=False, default=None)
    loss_pct = PartsField(MICRO, source="loss_micro_pct", allow_null=True)
    source = TextField(max_length=200)  # type: ignore[assignment]


class HopRateFilters(django_filters.FilterSet):
    """Narrows the list."""

    lot = CodeFilter(field_name="lot__code")
    material = CodeFilter(field_name="material__code")

    class Meta:
        model = HopRate
        fields: tuple[str, ...] = ()


class HopRates(RecordList, Recording[HopRate]):
    """How quickly the alpha acids of hops go, where somebody knows better, the last recorded first; POST says so."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.SPECIFY}
    queryset = HopRate.objects.select_related("lot", "material", "actor")
    serializer_class = answered = HopRateAnswer
    asked = HopRateAsked
    filterset_class = HopRateFilters

    def record(self, **asked: Any) -> HopRate:
        """Write it down."""
        return give_hop_rate(**asked)


class LotAlphaAnswer(serializers.Serializer[Any]):
    """The alpha acids of the part of a hop lot in a place, in %, and how they are known."""

    location = serializers.CharField()
    alpha_pct = serializers.CharField()
    low_pct = serializers.CharField()
    high_pct = serializers.CharField()
    is_modelled = serializers.BooleanField()
    rate_source = serializers.CharField(allow_null=True)
    why = serializers.CharField()


class LotAlphaAsked(serializers.Serializer[Any]):
    """Of which lot, on which day: today, unless it is given."""

    lot = LotField()
    on = serializers.DateField(required=False, default=None)

    def validate_lot(self, lot: Lot) -> Lot:
        """Return the lot. Raises NoHop."""
        if lot.material.kind != Material.Kind.HOP:
            raise NoHop(name=lot.material.name, kind=lot.material.get_kind_display(), field="lot")
        return lot


class LotAlphas(GenericAPIView[Any]):
    """The alpha acids of each part of a hop lot on a day, at noon; none where no assay is on record."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = LotAlphaAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="lot_alphas",
        responses=LotAlphaAnswer(many=True),
        parameters=[
            OpenApiParameter("lot", required=True),
            OpenApiParameter("on", type={"type": "string", "format": "date"}),
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer them."""
        asked = LotAlphaAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        lot, on = asked.validated_data["lot"], asked.validated_data["on"] or brewery_day()
        moment = datetime.combine(on, time(12), brewery_zone())
        parts = Balance.objects.filter(lot=lot, quantity_micro__gt=0, location__kind__in=Location.ON_HAND)
        places = [part.location for part in parts.select_related("location").order_by("location__code")]
        found = alphas_of((lot, place, moment) for place in places)
        return Response([_told(place, alpha) for place, alpha in zip(places, found, strict=True) if alpha])


def _told(place: Location, alpha: AlphaToday) -> dict[str, Any]:
    return {
        "location": place.code,
        "alpha_pct": f"{alpha.alpha_pct:.{PLACES}f}",
        "low_pct": f"{alpha.low_pct:.{PLACES}f}",
        "high_pct": f"{alpha.high_pct:.{PLACES}f}",
        "is_modelled": alpha.is_modelled,
        "rate_source": alpha.rate.source if alpha.rate else None,
        "why": alpha.why,
    }
