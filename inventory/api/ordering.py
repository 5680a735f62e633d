"""What is to be ordered: how materials are reordered, contracts of supply, and drafts of orders."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import (
    NamedQuantity,
    PartsField,
    QuantityAnswer,
    QuantityPair,
    TextField,
    quantity_of,
    refuse_other_unit,
)
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.errors import NotFound
from inventory.api.codes import MaterialField, PartyField
from inventory.api.parts import ReasonField
from inventory.api.purchase_orders import ContractField, OrderAnswer
from inventory.models import OrderDraft, OrderDraftLine, Party, PurchaseOrder, ReorderSetting, SupplyContract
from inventory.queries.orders import orders_with_lines
from inventory.queries.supply_contracts import calls_of, contracts
from inventory.services.order_drafts import (
    DraftedLine,
    change_order_draft,
    discard_order_draft,
    draft_order,
    order_draft,
)
from inventory.services.reorder_settings import set_reordering
from inventory.services.supply_contracts import close_contract, enter_contract

_PER_CENT_PPM = 10_000


class ReorderSettingAnswer(serializers.Serializer[ReorderSetting]):
    """How a material is reordered; the last that was said of a material counts."""

    id = serializers.IntegerField()
    material = serializers.CharField(source="material.code")
    supplier = serializers.CharField(source="supplier.code")
    service_pct = PartsField(_PER_CENT_PPM, source="service_ppm")
    review_days = serializers.IntegerField()
    lead_days = serializers.IntegerField()
    policy = serializers.ChoiceField(choices=ReorderSetting.Policy.choices)
    quantity = QuantityAnswer()
    pack = QuantityAnswer(allow_null=True)
    least = QuantityAnswer(allow_null=True)
    is_ended = serializers.BooleanField()
    recorded_at = serializers.DateTimeField()

    def to_representation(self, row: ReorderSetting) -> dict[str, Any]:
        """Return the setting as answers show it."""
        unit = row.material.base_unit
        return {
            "id": row.pk,
            "material": row.material.code,
            "supplier": row.supplier.code,
            "service_pct": self.fields["service_pct"].to_representation(row.service_ppm),
            "review_days": row.review_days,
            "lead_days": row.lead_days,
            "policy": row.policy,
            "quantity": quantity_of(row.quantity_micro, unit),
            "pack": quantity_of(row.pack_micro, unit) if row.pack_micro else None,
            "least": quantity_of(row.least_micro, unit) if row.least_micro else None,
            "is_ended": row.is_ended,
            "recorded_at": row.recorded_at.isoformat(),
        }


class ReorderSettingAsked(serializers.Serializer[Any]):
    """How a material is reordered from now on."""

    material = MaterialField()
    supplier = PartyField(role=Party.Role.SUPPLIER)
    service_pct = PartsField(_PER_CENT_PPM, source="service_ppm", required=False, default=950_000)
    review_days = serializers.IntegerField(required=False, default=7)
    lead_days = serializers.IntegerField()
    policy = serializers.ChoiceField(choices=ReorderSetting.Policy.choices)
    quantity = NamedQuantity()
    pack = NamedQuantity(required=False, allow_null=True, default=None)
    least = NamedQuantity(required=False, allow_null=True, default=None)
    is_ended = serializers.BooleanField(required=False, default=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read in micro-units. Raises ValidationError where a unit does not measure the material."""
        for name in ("quantity", "pack", "least"):
            amount = attrs.pop(name)
            if amount:
                refuse_other_unit(amount, attrs["material"].base_unit)
            attrs[f"{name}_micro"] = amount and amount.micro
        return attrs


class ReorderSettingFilters(django_filters.FilterSet):
    """Narrows the list."""

    material = CodeFilter(field_name="material__code")

    class Meta:
        model = ReorderSetting
        fields: tuple[str, ...] = ()


class ReorderSettings(RecordList, Recording[ReorderSetting]):
    """How materials are reordered, the last that was said first; POST says so from now on."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    queryset = ReorderSetting.objects.select_related("material", "supplier")
    serializer_class = answered = ReorderSettingAnswer
    asked = ReorderSettingAsked
    filterset_class = ReorderSettingFilters

    def record(self, **asked: Any) -> ReorderSetting:
        """Set it."""
        return set_reordering(**asked)


class ContractAnswer(serializers.Serializer[SupplyContract]):
    """One contract of supply, with what was called off, has come and remains."""

    number = serializers.CharField()
    supplier = serializers.CharField(source="supplier.code")
    material = serializers.CharField(source="material.code")
    crop_year = serializers.IntegerField(allow_null=True)
    begins_on = serializers.DateField()
    ends_on = serializers.DateField()
    note = serializers.CharField()
    closed_at = serializers.DateTimeField(allow_null=True)
    closed_reason = serializers.CharField()
    contracted = QuantityAnswer()
    called_off = QuantityAnswer()
    came = QuantityAnswer()
    remaining = QuantityAnswer()

    def to_representation(self, contract: SupplyContract) -> dict[str, Any]:
        """Return the contract as answers show it."""
        (calls,) = calls_of([contract])
        unit = contract.material.base_unit
        return {
            "number": contract.number,
            "supplier": contract.supplier.code,
            "material": contract.material.code,
            "crop_year": contract.crop_year,
            "begins_on": contract.begins_on.isoformat(),
            "ends_on": contract.ends_on.isoformat(),
            "note": contract.note,
            "closed_at": contract.closed_at and contract.closed_at.isoformat(),
            "closed_reason": contract.closed_reason,
            "contracted": quantity_of(contract.quantity_micro, unit),
            "called_off": quantity_of(calls.called_micro, unit),
            "came": quantity_of(calls.came_micro, unit),
            "remaining": quantity_of(calls.remaining_micro, unit),
        }


class ContractAsked(QuantityPair):
    """A new contract."""

    number = TextField(max_length=40)
    supplier = PartyField(role=Party.Role.SUPPLIER)
    material = MaterialField()
    crop_year = serializers.IntegerField(required=False, allow_null=True, default=None)
    begins_on = serializers.DateField()
    ends_on = serializers.DateField()
    note = TextField(max_length=200, required=False, allow_blank=True, default="")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read. Raises ValidationError where the unit does not measure the material."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["material"].base_unit)
        return {**read, "quantity_micro": amount.micro}


class ContractFilters(django_filters.FilterSet):
    """Narrows the list."""

    supplier = CodeFilter(field_name="supplier__code")
    material = CodeFilter(field_name="material__code")

    class Meta:
        model = SupplyContract
        fields: tuple[str, ...] = ()


class Contracts(RecordList, Recording[SupplyContract]):
    """Contracts of supply, the newest entry first; POST enters one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    queryset = contracts()
    serializer_class = answered = ContractAnswer
    asked = ContractAsked
    filterset_class = ContractFilters

    def record(self, **asked: Any) -> SupplyContract:
        """Enter it."""
        return enter_contract(**asked)


class ContractClosureAsked(serializers.Serializer[Any]):
    """Which contract, and why no more of it is called off."""

    contract = ContractField()
    reason = ReasonField()


class ContractClosures(Recording[SupplyContract]):
    """POST: close a contract; the answer is the contract."""

    right: ClassVar[Right] = Right.RECEIVE
    asked = ContractClosureAsked
    answered = ContractAnswer

    def record(self, **asked: Any) -> SupplyContract:
        """Close it."""
        return close_contract(**asked)


class OrderDraftLineAnswer(QuantityAnswer):
    """One material of a draft."""

    material = serializers.CharField()
    due_on = serializers.DateField()
    contract = serializers.CharField(allow_null=True)

    def to_representation(self, line: OrderDraftLine) -> dict[str, Any]:
        """Return the line as answers show it."""
        return {
            "material": line.material.code,
            "due_on": line.due_on.isoformat(),
            "contract": line.contract.number if line.contract else None,
            **quantity_of(line.quantity_micro, line.material.base_unit),
        }


class OrderDraftAnswer(serializers.Serializer[OrderDraft]):
    """One draft of an order; `revision` is wanted back by whoever changes it."""

    id = serializers.IntegerField()
    supplier = serializers.CharField(source="supplier.code")
    state = serializers.ChoiceField(choices=OrderDraft.State.choices)
    revision = serializers.IntegerField()
    order = serializers.CharField(source="order.number", allow_null=True, default=None)
    made_at = serializers.DateTimeField()
    lines = OrderDraftLineAnswer(many=True)


class OrderDraftLineAsked(QuantityPair):
    """One material to be ordered."""

    material = MaterialField()
    due_on = serializers.DateField()
    contract = ContractField(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a DraftedLine. Raises ValidationError where the unit does not measure the material."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["material"].base_unit)
        return DraftedLine(quantity_micro=amount.micro, **read)


class OrderDraftAsked(serializers.Serializer[Any]):
    """What is to stand in the open draft of a supplier."""

    supplier = PartyField(role=Party.Role.SUPPLIER)
    lines = OrderDraftLineAsked(many=True)


def drafts_in_full() -> QuerySet[OrderDraft]:
    """Return the drafts with their lines."""
    return OrderDraft.objects.select_related("supplier", "order").prefetch_related("lines__material", "lines__contract")


class OrderDraftFilters(django_filters.FilterSet):
    """Narrows the list."""

    supplier = CodeFilter(field_name="supplier__code")
    state = django_filters.ChoiceFilter(choices=OrderDraft.State.choices)

    class Meta:
        model = OrderDraft
        fields: tuple[str, ...] = ()


class OrderDrafts(RecordList, Recording[OrderDraft]):
    """Drafts of orders, the newest first; POST puts lines into the open draft of a supplier."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    queryset = drafts_in_full()
    serializer_class = answered = OrderDraftAnswer
    asked = OrderDraftAsked
    filterset_class = OrderDraftFilters

    def record(self, **asked: Any) -> OrderDraft:
        """Put them there."""
        return draft_order(**asked)

    def in_full(self, made: OrderDraft) -> OrderDraft:
        """Return the draft with its lines."""
        return drafts_in_full().get(pk=made.pk)


class DraftNamed(serializers.Serializer[Any]):
    """Which draft, and the revision of it that was seen."""

    draft = serializers.IntegerField(min_value=1)
    revision = serializers.IntegerField(min_value=1)

    def validate_draft(self, key: int) -> OrderDraft:
        """Return the draft. Raises NotFound."""
        found = OrderDraft.objects.filter(pk=key).first()
        if found is None:
            raise NotFound(thing="draft", code=key)
        return found


class OrderDraftChangeAsked(DraftNamed):
    """What a draft is to say, in the place of all that it says."""

    lines = OrderDraftLineAsked(many=True)


class OrderDraftChanges(Recording[OrderDraft]):
    """POST: a draft has other lines; the answer is the draft."""

    right: ClassVar[Right] = Right.RECEIVE
    asked: ClassVar[type[serializers.Serializer[Any]]] = OrderDraftChangeAsked
    answered = OrderDraftAnswer

    def record(self, **asked: Any) -> OrderDraft:
        """Change it."""
        return change_order_draft(**asked)

    def in_full(self, made: OrderDraft) -> OrderDraft:
        """Return the draft with its lines."""
        return drafts_in_full().get(pk=made.pk)


class OrderDraftDiscards(OrderDraftChanges):
    """POST: throw a draft away; the answer is the draft."""

    asked = DraftNamed

    def record(self, **asked: Any) -> OrderDraft:
        """Throw it away."""
        return discard_order_draft(**asked)


class DraftOrderAsked(DraftNamed):
    """Under which number a draft is ordered, and when."""

    number = TextField(max_length=40)
    ordered_on = serializers.DateField()
    note = TextField(max_length=200, required=False, allow_blank=True, default="")


class DraftOrders(Recording[PurchaseOrder]):
    """POST: order what a draft says; the answer is the order."""

    right: ClassVar[Right] = Right.RECEIVE
    asked = DraftOrderAsked
    answered = OrderAnswer

    def record(self, **asked: Any) -> PurchaseOrder:
        """Order it."""
        return order_draft(**asked)

    def in_full(self, made: PurchaseOrder) -> PurchaseOrder:
        """Return the order with its lines."""
        return orders_with_lines().get(pk=made.pk)
