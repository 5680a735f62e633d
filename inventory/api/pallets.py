"""Pallets: made under an SSCC, loaded, taken apart, moved as one."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityAnswer, TextField, quantity_of
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.science.gs1 import SSCC_LENGTH
from inventory.api.codes import PalletField, PlaceField
from inventory.api.events import LedgerRecording
from inventory.api.parts import PartAsked
from inventory.models import Balance, Event, LogisticUnit, UnitMove
from inventory.queries.pallets import pallets_in_full, pallets_that_hold_something
from inventory.services.pallets import load_pallet, make_pallet, move_pallet, unload_pallet


class OnPalletAnswer(QuantityAnswer):
    """How much of a lot lies on the pallet."""

    lot = serializers.CharField()
    material = serializers.CharField()

    def to_representation(self, balance: Balance) -> dict[str, str]:
        """Return the balance as answers show it."""
        material = balance.lot.material
        quantity = quantity_of(balance.quantity_micro, material.base_unit)
        return {"lot": balance.lot.code, "material": material.code, **quantity}


class UnitMoveAnswer(serializers.Serializer[UnitMove]):
    """One move of the pallet from store to store."""

    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    from_location = serializers.CharField(source="from_location.code")
    to_location = serializers.CharField(source="to_location.code")
    actor = serializers.CharField(source="actor.username")


class PalletAnswer(serializers.Serializer[LogisticUnit]):
    """One pallet with what lies on it, the oldest lot first, and its moves. Its SSCC is also its code as a location."""

    sscc = serializers.CharField()
    stands_in = serializers.CharField(source="stands_in.code")
    made_at = serializers.DateTimeField()
    contents = OnPalletAnswer(source="location.balances.all", many=True)
    moves = UnitMoveAnswer(many=True)


class PalletAsked(serializers.Serializer[Any]):
    """An empty pallet in a store; without an `sscc` it gets the next one of the brewery's."""

    stands_in = PlaceField()
    made_at = MomentField()
    sscc = TextField(max_length=SSCC_LENGTH, required=False, allow_blank=True, default="")


class PalletFilters(django_filters.FilterSet):
    """Narrows the list of pallets."""

    stands_in = CodeFilter(field_name="stands_in__code")
    lot = CodeFilter(method="with_lot")
    holds_something = django_filters.BooleanFilter(method="that_hold_something")

    class Meta:
        model = LogisticUnit
        fields: tuple[str, ...] = ()

    def with_lot(self, units: QuerySet[LogisticUnit], name: str, code: str) -> QuerySet[LogisticUnit]:
        """Return the pallets on which something of the lot lies."""
        return units.filter(location__in=Balance.objects.held().filter(lot__code=code).values("location"))

    def that_hold_something(self, units: QuerySet[LogisticUnit], name: str, wanted: bool) -> QuerySet[LogisticUnit]:
        """Return the pallets that are not empty, or those that are."""
        loaded = pallets_that_hold_something().values("pk")
        return units.filter(pk__in=loaded) if wanted else units.exclude(pk__in=loaded)


class Pallets(RecordList, Recording[LogisticUnit]):
    """Pallets, the newest first; POST makes an empty one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.MOVE_STOCK}
    queryset = pallets_in_full()
    serializer_class = answered = PalletAnswer
    asked = PalletAsked
    filterset_class = PalletFilters

    def record(self, **asked: Any) -> LogisticUnit:
        """Make it."""
        return make_pallet(**asked)

    def in_full(self, made: LogisticUnit) -> LogisticUnit:
        """Return the pallet with what lies on it."""
        return pallets_in_full().get(pk=made.pk)


class OnePallet(RecordDetail):
    """One pallet by its SSCC."""

    queryset = pallets_in_full()
    serializer_class = PalletAnswer
    lookup_field = "sscc"
    thing: ClassVar[str] = "pallet"


class LoadAsked(serializers.Serializer[Any]):
    """What goes onto a pallet, from the stores and pallets where it lies."""

    happened_at = MomentField()
    pallet = PalletField(source="unit")
    lines = PartAsked(many=True, source="parts")


class PalletLoads(LedgerRecording):
    """POST: put lots on a pallet, all lines or none."""

    right: ClassVar[Right] = Right.MOVE_STOCK
    asked = LoadAsked

    def record(self, **asked: Any) -> Event:
        """Load it."""
        return load_pallet(**asked)


class UnloadAsked(serializers.Serializer[Any]):
    """What comes off a pallet: `lines`, or all of it; into `to_location`, or the store where the pallet stands."""

    happened_at = MomentField()
    pallet = PalletField(source="unit")
    lines = PartAsked(many=True, source="parts", required=False, allow_empty=False)
    to_location = PlaceField(required=False)


class PalletUnloads(LedgerRecording):
    """POST: take lots off a pallet."""

    right: ClassVar[Right] = Right.MOVE_STOCK
    asked = UnloadAsked

    def record(self, **asked: Any) -> Event:
        """Take them off."""
        return unload_pallet(**asked)


class PalletMoveAsked(serializers.Serializer[Any]):
    """Which pallet, and the store where it stands from now on."""

    happened_at = MomentField()
    pallet = PalletField(source="unit")
    to_location = PlaceField()


class PalletMoves(Recording[UnitMove]):
    """POST: move a pallet to another store, with all that is on it. No lot moves in the ledger."""

    right: ClassVar[Right] = Right.MOVE_STOCK
    asked = PalletMoveAsked
    answered = UnitMoveAnswer

    def record(self, **asked: Any) -> UnitMove:
        """Move it."""
        return move_pallet(**asked)
