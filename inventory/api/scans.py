"""Scans: what a barcode's text says, or why it says nothing that may be trusted."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityAnswer, TextField, quantity_of
from brewery.kernel.api.strict import refuse_unknown_members
from inventory.models import Location
from inventory.services.scans import LONGEST_SCAN, Scan, read_scan


class ScanAsked(serializers.Serializer[Any]):
    """What the scanner typed, its symbology identifier in front; the separator is the group separator (0x1D)."""

    text = TextField(max_length=LONGEST_SCAN, trim_whitespace=False)


class ScannedTradeItemAnswer(serializers.Serializer[Any]):
    """The trade item that bears the scanned GTIN."""

    gtin = serializers.CharField()
    name = serializers.CharField()
    content = QuantityAnswer(allow_null=True)


class ScannedPlaceAnswer(serializers.Serializer[Any]):
    """The place or the pallet that the label hangs on."""

    code = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(choices=Location.Kind.choices)


class ScanAnswer(serializers.Serializer[Scan]):
    """What the scan says; what it does not say is null, or empty.

    `net` is the net weight or volume of the label, `quantity` what it all is: the net quantity, or `count` times what
    the trade item holds. `lot` is the batch number on the label, `own_lot` the lot of this brewery that it names.
    """

    text = serializers.CharField()
    gtin = serializers.CharField()
    trade_item = ScannedTradeItemAnswer(allow_null=True)
    material = serializers.CharField(allow_null=True)
    lot = serializers.CharField()
    best_before = serializers.DateField(allow_null=True)
    made_on = serializers.DateField(allow_null=True)
    packed_on = serializers.DateField(allow_null=True)
    net = QuantityAnswer(allow_null=True)
    count = serializers.IntegerField(allow_null=True)
    quantity = QuantityAnswer(allow_null=True)
    sscc = serializers.CharField()
    serial = serializers.CharField()
    location = ScannedPlaceAnswer(allow_null=True)
    own_lot = serializers.CharField(allow_null=True)

    def to_representation(self, scan: Scan) -> dict[str, Any]:
        """Return the scan as answers show it."""
        days = {name: getattr(scan, name) for name in ("best_before", "made_on", "packed_on")}
        place, item = scan.location, scan.trade_item
        return {
            **{name: getattr(scan, name) for name in ("text", "gtin", "lot", "count", "sscc", "serial")},
            **{name: day.isoformat() if day else None for name, day in days.items()},
            "trade_item": item
            and {"gtin": item.gtin, "name": item.name, "content": _quantity(scan, item.content_micro)},
            "material": scan.material and scan.material.code,
            "net": _quantity(scan, scan.net_micro),
            "quantity": _quantity(scan, scan.quantity_micro),
            "location": place and {"code": place.code, "name": place.name, "kind": place.kind},
            "own_lot": scan.own_lot and scan.own_lot.code,
        }


def _quantity(scan: Scan, micro: int | None) -> dict[str, str] | None:
    return None if micro is None or scan.material is None else quantity_of(micro, scan.material.base_unit)


class Scans(GenericAPIView[Any]):
    """POST: what a scanned text says. It records nothing, so it needs no Idempotency-Key."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = ScanAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="read_scan", request=ScanAsked, responses={200: ScanAnswer})
    def post(self, request: Request) -> Response:
        """Answer what it says, or refuse it with the reason."""
        asked = ScanAsked(data=request.data)
        refuse_unknown_members(asked, request.data)
        asked.is_valid(raise_exception=True)
        return Response(ScanAnswer(read_scan(asked.validated_data["text"])).data)
