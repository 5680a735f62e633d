"""The lines of a delivery draft, and what is scanned into it."""

from typing import Any, ClassVar
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import Amount, NamedQuantity, QuantityShown, TextField, refuse_other_unit
from brewery.kernel.api.idempotency import request_id_of
from brewery.kernel.api.versions import Versioned, version_if_given, version_of
from brewery.kernel.api.views import Changing, RecordDetail, RecordList, person_of
from brewery.kernel.errors import NotFound
from brewery.kernel.models import User
from inventory.api.codes import MaterialField, PlaceField
from inventory.api.delivery_drafts import DraftAnswer, DraftRecording, delivery_of
from inventory.api.parts import LOT_CODE_LENGTH, OLDEST_GENERATION
from inventory.models import Delivery, DeliveryLine, OrderLine
from inventory.queries.deliveries import line_in_hand, lines_of
from inventory.queries.registers import order_of
from inventory.services.delivery_lines import LINE, add_line, change_line, remove_line
from inventory.services.delivery_scans import scan_into_delivery

QUANTITIES = {"weighed": "quantity_micro", "noted": "note_quantity_micro", "package_content": "package_micro"}
LONGEST_SCAN = 400


class OrderLineNamed(serializers.Serializer[OrderLine]):
    """One line of an order, by the order's number and its position."""

    order = TextField(max_length=40, source="order.number")
    position = serializers.IntegerField(min_value=1, max_value=10_000)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return the order line. Raises ValidationError where there is none."""
        order = order_of(attrs["order"]["number"])
        line = order.lines.filter(position=attrs["position"]).first() if order else None
        if line is None:
            raise serializers.ValidationError({"order": "There is no such line of an order."}, code="unknown_code")
        return line


class LineAnswer(serializers.Serializer[DeliveryLine]):
    """One line of a delivery. `lot` is the code of the lot that it has made."""

    id = serializers.IntegerField()
    position = serializers.IntegerField()
    material = serializers.CharField(source="material.code")
    lot_code = serializers.CharField()
    supplier_lot = serializers.CharField()
    crop_year = serializers.IntegerField(allow_null=True)
    weighed = QuantityShown("quantity_micro", "material.base_unit", allow_null=True)
    typed = serializers.CharField(source="quantity_typed")
    noted = QuantityShown("note_quantity_micro", "material.base_unit", allow_null=True)
    difference_reason = serializers.CharField()
    package_count = serializers.IntegerField(allow_null=True)
    package_content = QuantityShown("package_micro", "material.base_unit", allow_null=True)
    best_before = serializers.DateField(allow_null=True)
    generation = serializers.IntegerField(allow_null=True)
    location = serializers.CharField(source="location.code", allow_null=True, default=None)
    contents_code = serializers.CharField()
    sscc = serializers.CharField()
    order_line = OrderLineNamed(allow_null=True)
    lot = serializers.CharField(source="lot.code", allow_null=True, default=None)


class LineChanges(serializers.Serializer[Any]):
    """What of a line is to be changed; what is left out stays."""

    material = MaterialField(required=False)
    lot_code = TextField(max_length=LOT_CODE_LENGTH, required=False, allow_blank=True)
    supplier_lot = TextField(max_length=60, required=False, allow_blank=True)
    crop_year = serializers.IntegerField(min_value=1950, max_value=2999, required=False, allow_null=True)
    weighed = NamedQuantity(required=False, allow_null=True)
    noted = NamedQuantity(required=False, allow_null=True)
    difference_reason = TextField(max_length=200, required=False, allow_blank=True)
    package_count = serializers.IntegerField(min_value=1, max_value=1_000_000, required=False, allow_null=True)
    package_content = NamedQuantity(required=False, allow_null=True)
    best_before = serializers.DateField(required=False, allow_null=True)
    generation = serializers.IntegerField(min_value=1, max_value=OLDEST_GENERATION, required=False, allow_null=True)
    location = PlaceField(required=False, allow_null=True)
    contents_code = TextField(max_length=LOT_CODE_LENGTH, required=False, allow_blank=True)
    sscc = TextField(max_length=18, required=False, allow_blank=True)
    order_line = OrderLineNamed(required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what the service calls it. Raises ValidationError where a unit does not measure the material."""
        material = attrs.get("material") or self.context["view"].material()
        facts = {}
        for name, value in attrs.items():
            if isinstance(value, Amount):
                try:
                    refuse_other_unit(value, material.base_unit)
                except serializers.ValidationError as other:
                    raise serializers.ValidationError({name: other.detail}) from other
                value = value.micro
            facts[QUANTITIES.get(name, name)] = value
        return facts


class LineAsked(LineChanges):
    """One more line; what follows from the rest is filled in."""

    material = MaterialField()


class DraftScanAsked(serializers.Serializer[Any]):
    """What was scanned: a GS1 barcode, a weight with its unit, the code of a place."""

    text = TextField(max_length=LONGEST_SCAN)


class Written(serializers.Serializer[Any]):
    """The head of the draft, and the line that the person entered or changed last."""

    draft = DraftAnswer()
    line = LineAnswer(allow_null=True)


class LineWriting(DraftRecording):
    """POST to the lines of a draft; the answer is its head, and the line that was entered or changed."""

    answered = Written
    needs_version: ClassVar[tuple[str, ...]] = ()

    def in_full(self, made: Delivery) -> Any:
        """Return the draft as it is now, with the person's last line."""
        draft = super().in_full(made)
        found = line_in_hand(draft, person_of(self.request))
        return {"draft": draft, "line": found[0] if found else None}


class DraftLines(LineWriting, RecordList):
    """The lines of a delivery in their order; POST adds one at the end, if need be only as of a version."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    serializer_class = LineAnswer
    asked = LineAsked
    filterset_class = None
    takes_version: ClassVar[tuple[str, ...]] = ("POST",)
    ordering = "position"

    def get_queryset(self) -> Any:
        """Return the lines of the delivery that the address names. Raises NotFound."""
        return lines_of(delivery_of(self.kwargs["pk"]))

    def record(self, **asked: Any) -> Delivery:
        """Add it."""
        facts = {name: asked.pop(name) for name in LINE if name in asked}
        return add_line(delivery=self.draft(), facts=facts, version=version_if_given(self.request), **asked)


class DraftScans(LineWriting):
    """POST: put what was scanned, weighed or named into the draft."""

    asked = DraftScanAsked

    def record(self, **asked: Any) -> Delivery:
        """Scan it."""
        return scan_into_delivery(delivery=self.draft(), **asked)


class OneDraftLine(Versioned, RecordDetail, Changing[DeliveryLine]):
    """One line of a delivery; PATCH changes it, DELETE removes it from the draft."""

    rights: ClassVar[dict[str, Right]] = {
        "GET": Right.VIEW_RECORDS,
        "PATCH": Right.RECEIVE,
        "DELETE": Right.RECEIVE,
    }
    queryset = DeliveryLine.objects.none()
    serializer_class = answered = LineAnswer
    changed = LineChanges
    needs_version: ClassVar[tuple[str, ...]] = ("PATCH", "DELETE")

    def get_object(self) -> DeliveryLine:
        """Return the line with its delivery. Raises NotFound."""
        delivery = delivery_of(self.kwargs["pk"])
        line = lines_of(delivery).filter(pk=self.kwargs["line"]).first()
        if line is None:
            raise NotFound(thing="line", code=self.kwargs["line"])
        self.shown_version = delivery.version
        return line

    def material(self) -> Any:
        """Return what the line is of, as long as nobody says otherwise."""
        return self.get_object().material

    def change(self, *, changes: dict[str, Any], actor: User, request_id: UUID) -> DeliveryLine:
        """Change it, unless anything of the delivery was changed since the version that was seen."""
        change_line(
            delivery=delivery_of(self.kwargs["pk"]),
            line=self.kwargs["line"],
            version=version_of(self.request),
            changes=changes,
            actor=actor,
            request_id=request_id,
            whole=True,
        )
        return self.get_object()

    def delete(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Remove it."""
        draft = remove_line(
            delivery=delivery_of(self.kwargs["pk"]),
            line=self.kwargs["line"],
            version=version_of(request),
            actor=person_of(request),
            request_id=request_id_of(request),
            whole=True,
        )
        self.shown_version = draft.version
        return Response(status=204)
