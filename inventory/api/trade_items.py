"""Trade items: which GTIN stands for how much of which material."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import NamedQuantity, QuantityShown, TextField, refuse_other_unit
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from inventory.api.codes import MaterialField
from inventory.models import TradeItem
from inventory.services.trade_items import add_trade_item


class TradeItemAnswer(serializers.Serializer[TradeItem]):
    """One GTIN with 14 digits; `content` is what one such box, sack or case holds, where they are alike."""

    gtin = serializers.CharField()
    material = serializers.CharField(source="material.code")
    name = serializers.CharField()
    content = QuantityShown("content_micro", "material.base_unit", allow_null=True)


class TradeItemAsked(serializers.Serializer[Any]):
    """A GTIN of 8, 12, 13 or 14 digits, and what it stands for."""

    gtin = TextField(max_length=14)
    material = MaterialField()
    name = TextField(max_length=120, required=False, allow_blank=True, default="")
    content = NamedQuantity(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read with `content_micro`. Raises ValidationError where it is in a unit of something else."""
        content = attrs.pop("content")
        if content is None:
            return attrs
        try:
            refuse_other_unit(content, attrs["material"].base_unit)
        except serializers.ValidationError as wrong:
            raise serializers.ValidationError({"content": wrong.detail}) from wrong
        return {**attrs, "content_micro": content.micro}


class TradeItemFilters(django_filters.FilterSet):
    """Narrows the list of trade items."""

    material = CodeFilter(field_name="material__code")

    class Meta:
        model = TradeItem
        fields: tuple[str, ...] = ()


class TradeItems(RecordList, Recording[TradeItem]):
    """Trade items by GTIN; POST enters one, so that scans of it give its material."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.KEEP_REGISTERS}
    queryset = TradeItem.objects.select_related("material")
    serializer_class = answered = TradeItemAnswer
    asked = TradeItemAsked
    filterset_class = TradeItemFilters
    ordering: ClassVar[str] = "gtin"

    def record(self, **asked: Any) -> TradeItem:
        """Enter it."""
        return add_trade_item(**asked)


class OneTradeItem(RecordDetail):
    """One trade item by its GTIN with 14 digits."""

    queryset = TradeItem.objects.select_related("material")
    serializer_class = TradeItemAnswer
    lookup_field = "gtin"
    thing: ClassVar[str] = "trade item"
