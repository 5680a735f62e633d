"""Purchase orders: what is expected, how much of it has come, and what will not come any more."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import CodeField, QuantityPair, QuantityShown, TextField, quantity_of, refuse_other_unit
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from inventory.api.codes import MaterialField, PartyField
from inventory.api.parts import ReasonField
from inventory.models import OrderLine, Party, PurchaseOrder, SupplyContract
from inventory.queries.orders import open_orders, orders_with_lines, progress_of
from inventory.queries.registers import order_of
from inventory.queries.supply_contracts import contracts
from inventory.services.orders import OrderedLine, close_order, enter_order


def contract_of(number: str) -> SupplyContract | None:
    """Return the contract of that number, or None."""
    return contracts().filter(number=number).first()


class ContractField(CodeField):
    """A contract by its number."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="contract", find=contract_of, **options)


class OrderLineAnswer(serializers.Serializer[OrderLine]):
    """One material of an order. `over` is what came beyond what was ordered."""

    position = serializers.IntegerField()
    material = serializers.CharField(source="material.code")
    due_on = serializers.DateField()
    supplier_reference = serializers.CharField()
    ordered = QuantityShown("quantity_micro", "material.base_unit")
    received = QuantityShown("received_micro", "material.base_unit")
    outstanding = QuantityShown("outstanding_micro", "material.base_unit")
    over = QuantityShown("over_micro", "material.base_unit")

    def to_representation(self, line: OrderLine) -> dict[str, Any]:
        """Return the line as answers show it."""
        (progress,) = progress_of([line])
        unit = line.material.base_unit
        return {
            "position": line.position,
            "material": line.material.code,
            "due_on": line.due_on.isoformat(),
            "supplier_reference": line.supplier_reference,
            "ordered": quantity_of(progress.ordered_micro, unit),
            "received": quantity_of(progress.received_micro, unit),
            "outstanding": quantity_of(progress.outstanding_micro, unit),
            "over": quantity_of(progress.over_micro, unit),
        }


class OrderAnswer(serializers.Serializer[PurchaseOrder]):
    """One order with its lines."""

    number = serializers.CharField()
    supplier = serializers.CharField(source="supplier.code")
    ordered_on = serializers.DateField()
    note = serializers.CharField()
    closed_at = serializers.DateTimeField(allow_null=True)
    closed_reason = serializers.CharField()
    lines = OrderLineAnswer(many=True)


class OrderLineAsked(QuantityPair):
    """One material that is ordered."""

    material = MaterialField()
    due_on = serializers.DateField()
    supplier_reference = TextField(max_length=60, required=False, allow_blank=True, default="")
    contract = ContractField(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return an OrderedLine. Raises ValidationError where the unit does not measure the material."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["material"].base_unit)
        return OrderedLine(quantity_micro=amount.micro, **read)


class OrderAsked(serializers.Serializer[Any]):
    """A new order."""

    number = TextField(max_length=40)
    supplier = PartyField(role=Party.Role.SUPPLIER)
    ordered_on = serializers.DateField()
    note = TextField(max_length=200, required=False, allow_blank=True, default="")
    lines = OrderLineAsked(many=True)


class OrderFilters(django_filters.FilterSet):
    """Narrows the list of orders. `is_open` orders are not closed, and some of them is still to come."""

    supplier = CodeFilter(field_name="supplier__code")
    is_open = django_filters.BooleanFilter(method="that_are_open")

    class Meta:
        model = PurchaseOrder
        fields: tuple[str, ...] = ()

    def that_are_open(self, orders: QuerySet[PurchaseOrder], name: str, wanted: bool) -> QuerySet[PurchaseOrder]:
        """Return the orders that are open, or those that are not."""
        still_open = open_orders(orders)
        return still_open if wanted else orders.exclude(pk__in=still_open.values("pk"))


class PurchaseOrders(RecordList, Recording[PurchaseOrder]):
    """Purchase orders with what has come of each, the newest entry first; POST enters one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    queryset = orders_with_lines()
    serializer_class = answered = OrderAnswer
    asked = OrderAsked
    filterset_class = OrderFilters

    def record(self, **asked: Any) -> PurchaseOrder:
        """Enter it."""
        return enter_order(**asked)

    def in_full(self, made: PurchaseOrder) -> PurchaseOrder:
        """Return the order with its lines."""
        return orders_with_lines().get(pk=made.pk)


class OnePurchaseOrder(RecordDetail):
    """One purchase order by its number."""

    queryset = orders_with_lines()
    serializer_class = OrderAnswer
    lookup_field = "number"
    thing: ClassVar[str] = "order"


class OrderField(CodeField):
    """An order by its number."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="order", find=order_of, **options)


class OrderClosureAsked(serializers.Serializer[Any]):
    """Which order, and why no more of it will come."""

    order = OrderField()
    reason = ReasonField()


class OrderClosures(Recording[PurchaseOrder]):
    """POST: close an order of which no more will come; the answer is the order."""

    right: ClassVar[Right] = Right.RECEIVE
    asked = OrderClosureAsked
    answered = OrderAnswer

    def record(self, **asked: Any) -> PurchaseOrder:
        """Close it."""
        return close_order(**asked)

    def in_full(self, made: PurchaseOrder) -> PurchaseOrder:
        """Return the order with its lines."""
        return orders_with_lines().get(pk=made.pk)
