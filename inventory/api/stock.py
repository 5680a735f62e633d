"""Stock: what is on hand by material, by lot and by place, and what of it is kept or free."""

from collections.abc import Sequence
from typing import Any, ClassVar

import django_filters
from django.db.models import Model, QuerySet
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityAnswer, quantity_of
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, RecordList
from brewery.kernel.clock import brewery_day
from inventory.models import Balance, Location, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.stock import (
    LotAge,
    LotStock,
    MaterialStock,
    PlaceStock,
    balances_on_hand,
    lots_on_hand,
    on_hand_at,
    stock_of_lots,
    stock_of_materials,
)
from inventory.queries.turnover import FLOWS, turnover_of


class MaterialStockAnswer(serializers.Serializer[Any]):
    """One material. `free` is what is released and not reserved; `in_process` was drawn and is not on hand."""

    material = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(choices=Material.Kind.choices)
    lots = serializers.IntegerField()
    on_hand = QuantityAnswer()
    held_back = QuantityAnswer()
    reserved = QuantityAnswer()
    free = QuantityAnswer()
    in_process = QuantityAnswer()
    past_best_before = QuantityAnswer()
    next_best_before = serializers.DateField(allow_null=True)

    def to_representation(self, stock: MaterialStock) -> dict[str, Any]:
        """Return the stock as answers show it."""
        unit = stock.material.base_unit
        return {
            "material": stock.material.code,
            "name": stock.material.name,
            "kind": stock.material.kind,
            "lots": stock.lots,
            "on_hand": quantity_of(stock.on_hand_micro, unit),
            "held_back": quantity_of(stock.held_back_micro, unit),
            "reserved": quantity_of(stock.reserved_micro, unit),
            "free": quantity_of(stock.free_micro, unit),
            "in_process": quantity_of(stock.in_process_micro, unit),
            "past_best_before": quantity_of(stock.past_micro, unit),
            "next_best_before": stock.next_best_before and stock.next_best_before.isoformat(),
        }


class FlowAnswer(QuantityAnswer):
    """One way in (above zero) or out (below zero)."""

    way = serializers.ChoiceField(choices=list(FLOWS))


class MaterialTurnoverAnswer(MaterialStockAnswer):
    """One material with the ways by which it came and went; they add up to what is on hand, exactly."""

    flows = FlowAnswer(many=True)

    def to_representation(self, stock: MaterialStock) -> dict[str, Any]:
        """Return the stock as answers show it."""
        (turnover,) = turnover_of([stock.material])
        unit = stock.material.base_unit
        flows = [{"way": way, **quantity_of(micro, unit)} for way, micro in turnover.flows.items()]
        return {**super().to_representation(stock), "flows": flows}


class AgeAnswer(serializers.Serializer[Any]):
    """A lot, how old it is and how long it keeps today."""

    lot = serializers.CharField()
    material = serializers.CharField()
    kind = serializers.ChoiceField(choices=Material.Kind.choices)
    disposition = serializers.ChoiceField(choices=Disposition.choices)
    age_days = serializers.IntegerField()
    best_before = serializers.DateField(allow_null=True)
    days_left = serializers.IntegerField(allow_null=True)
    is_past = serializers.BooleanField()


class StockPlaceAnswer(QuantityAnswer):
    """A place with how much lies there; `store` is where a pallet stands."""

    location = serializers.CharField()
    store = serializers.CharField(allow_null=True)


class LotStockAnswer(AgeAnswer):
    """One lot with all that is on hand of it, wherever it lies."""

    on_hand = QuantityAnswer()
    reserved = QuantityAnswer()
    free = QuantityAnswer()
    where = StockPlaceAnswer(many=True)

    def to_representation(self, stock: LotStock) -> dict[str, Any]:
        """Return the stock as answers show it."""
        unit = stock.lot.material.base_unit
        return {
            **_age(stock),
            "on_hand": quantity_of(stock.on_hand_micro, unit),
            "reserved": quantity_of(stock.reserved_micro, unit),
            "free": quantity_of(stock.free_micro, unit),
            "where": [_place(place, unit) for place in stock.places],
        }


class LyingStockAnswer(AgeAnswer, StockPlaceAnswer):
    """What lies of one lot in one place."""

    def to_representation(self, balance: Balance) -> dict[str, Any]:
        """Return the stock as answers show it."""
        place = PlaceStock(balance.location, balance.quantity_micro)
        age = LotAge(balance.lot, brewery_day())
        return {**_age(age), **_place(place, balance.lot.material.base_unit)}


class MaterialStockFilters(django_filters.FilterSet):
    """Narrows the materials. `in_stock` are those of which something is on hand."""

    material = CodeFilter(field_name="code")
    kind = django_filters.ChoiceFilter(choices=Material.Kind.choices)
    in_stock = django_filters.BooleanFilter(method="that_are_in_stock")

    class Meta:
        model = Material
        fields: tuple[str, ...] = ()

    def that_are_in_stock(self, rows: QuerySet[Material], name: str, wanted: bool) -> QuerySet[Material]:
        """Return those of which something is on hand, or those of which nothing is."""
        held = Balance.objects.on_hand().values("lot__material")
        return rows.filter(pk__in=held) if wanted else rows.exclude(pk__in=held)


class LotStockFilters(django_filters.FilterSet):
    """Narrows the lots. What stands on a pallet lies in the pallet's store, too."""

    lot = CodeFilter(field_name="code")
    material = CodeFilter(field_name="material__code")
    kind = django_filters.ChoiceFilter(field_name="material__kind", choices=Material.Kind.choices)
    disposition = django_filters.ChoiceFilter(choices=Disposition.choices)
    expiring_before = django_filters.DateFilter(field_name="best_before", lookup_expr="lt")
    location = CodeFilter(method="lying_at")

    class Meta:
        model = Lot
        fields: tuple[str, ...] = ()

    def lying_at(self, lots: QuerySet[Lot], name: str, code: str) -> QuerySet[Lot]:
        """Return the lots of which something lies in the place, or on a pallet that stands in it."""
        place = Location.objects.filter(code=code).first()
        return lots.filter(pk__in=on_hand_at(place).values("lot")) if place else lots.none()


class LyingStockFilters(django_filters.FilterSet):
    """Narrows what lies where. What stands on a pallet lies in the pallet's store, too."""

    lot = CodeFilter(field_name="lot__code")
    material = CodeFilter(field_name="lot__material__code")
    kind = django_filters.ChoiceFilter(field_name="lot__material__kind", choices=Material.Kind.choices)
    disposition = django_filters.ChoiceFilter(field_name="lot__disposition", choices=Disposition.choices)
    expiring_before = django_filters.DateFilter(field_name="lot__best_before", lookup_expr="lt")
    location = CodeFilter(method="lying_at")

    class Meta:
        model = Balance
        fields: tuple[str, ...] = ()

    def lying_at(self, rows: QuerySet[Balance], name: str, code: str) -> QuerySet[Balance]:
        """Return what lies in the place, or on a pallet that stands in it."""
        place = Location.objects.filter(code=code).first()
        return rows.filter(pk__in=on_hand_at(place).values("pk")) if place else rows.none()


class StockByMaterial(RecordList):
    """Every material with what is on hand of it, in the order of their codes."""

    queryset = Material.objects.all()
    serializer_class = MaterialStockAnswer
    filterset_class = MaterialStockFilters
    ordering: ClassVar[str] = "code"

    def paginate_queryset(self, queryset: Any) -> Any:
        """Return the stock of the page's materials."""
        return stock_of_materials(_page(super().paginate_queryset(queryset)), brewery_day())


class StockOfMaterial(RecordDetail):
    """One material with what is on hand of it, and every way by which it came and went."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    queryset = Material.objects.all()
    serializer_class = MaterialTurnoverAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "material"

    def get_object(self) -> Any:
        """Return the stock of the material."""
        (stock,) = stock_of_materials([super().get_object()], brewery_day())
        return stock


class StockByLot(RecordList):
    """Every lot of which something is on hand, the newest first."""

    queryset = lots_on_hand()
    serializer_class = LotStockAnswer
    filterset_class = LotStockFilters

    def paginate_queryset(self, queryset: Any) -> Any:
        """Return the stock of the page's lots."""
        return stock_of_lots(_page(super().paginate_queryset(queryset)), brewery_day())


class StockByPlace(RecordList):
    """What is on hand of every lot in every place."""

    queryset = balances_on_hand()
    serializer_class = LyingStockAnswer
    filterset_class = LyingStockFilters
    ordering: ClassVar[str] = "id"


def _page(rows: Sequence[Model] | None) -> Sequence[Any]:
    return rows or []


def _age(age: LotAge) -> dict[str, Any]:
    return {
        "lot": age.lot.code,
        "material": age.lot.material.code,
        "kind": age.lot.material.kind,
        "disposition": age.lot.disposition,
        "age_days": age.age_days,
        "best_before": age.lot.best_before and age.lot.best_before.isoformat(),
        "days_left": age.days_left,
        "is_past": age.is_past,
    }


def _place(place: PlaceStock, unit: str) -> dict[str, Any]:
    store = place.store
    return {
        "location": place.location.code,
        "store": store and store.code,
        **quantity_of(place.quantity_micro, unit),
    }
