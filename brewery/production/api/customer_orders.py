"""Customers' orders: entered, changed, picked, shipped and called off."""

from typing import Any, ClassVar
from uuid import UUID

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.versions import Versioned, version_of
from brewery.kernel.api.views import Changing, RecordDetail, Recording, RecordList
from brewery.kernel.errors import NotFound
from brewery.kernel.models import User
from brewery.production.models import CustomerOrder, Pick
from brewery.production.queries.customer_orders import (
    customer_orders,
    in_state,
    order_of_customer,
    progress_of_order,
)
from brewery.production.queries.picking import PickProposal, proposals_for
from brewery.production.services.customer_orders import (
    MOST_OF_ONE,
    WantedLine,
    call_off_customer_order,
    change_customer_order,
    enter_customer_order,
)
from brewery.production.services.dispatch import Papers, ship_order
from brewery.production.services.picking import pick, put_back
from inventory.api.codes import LotField, MaterialField, PartyField, PlaceField
from inventory.api.delivery_drafts import NothingAsked
from inventory.api.events import LedgerRecording
from inventory.api.parts import ReasonField
from inventory.models import Event, Party


class WordsField(TextField):
    """Words that may be left out."""

    def __init__(self, max_length: int) -> None:
        super().__init__(max_length=max_length, required=False, allow_blank=True, default="")


class OrderedLineAnswer(serializers.Serializer[Any]):
    """One beer of an order: wanted, picked, shipped, and still to pick."""

    material = serializers.CharField()
    count = serializers.IntegerField()
    picked = serializers.IntegerField()
    shipped = serializers.IntegerField()
    open = serializers.IntegerField()


class CustomerOrderAnswer(serializers.Serializer[CustomerOrder]):
    """One order of a customer with its lines."""

    number = serializers.CharField()
    state = serializers.ChoiceField(choices=CustomerOrder.State.choices)
    revision = serializers.IntegerField()
    customer = serializers.CharField()
    customer_reference = serializers.CharField()
    wanted_on = serializers.DateField()
    deliver_to = serializers.CharField()
    note = serializers.CharField()
    called_off_because = serializers.CharField()
    lines = OrderedLineAnswer(many=True)

    def to_representation(self, order: CustomerOrder) -> dict[str, Any]:
        """Return the order as answers show it."""
        progress = progress_of_order(order)
        names = ("number", "revision", "customer_reference", "deliver_to", "note", "called_off_because")
        return {
            **{name: getattr(order, name) for name in names},
            "state": progress.state.value,
            "customer": order.customer.code,
            "wanted_on": order.wanted_on.isoformat(),
            "lines": [
                {
                    "material": one.line.material.code,
                    "count": one.line.count,
                    "picked": one.picked,
                    "shipped": one.shipped,
                    "open": one.open,
                }
                for one in progress.lines
            ],
        }


class OrderedLineAsked(serializers.Serializer[Any]):
    """So many of one packaged beer."""

    material = MaterialField()
    count = serializers.IntegerField(min_value=1, max_value=MOST_OF_ONE)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a WantedLine."""
        return WantedLine(**attrs)


class CustomerOrderChanges(serializers.Serializer[Any]):
    """What of an order is to be changed; what is left out stays. `lines` are all lines as they are to be."""

    customer_reference = TextField(max_length=60, required=False, allow_blank=True)
    wanted_on = serializers.DateField(required=False)
    deliver_to = TextField(max_length=200, required=False, allow_blank=True)
    note = TextField(max_length=200, required=False, allow_blank=True)
    lines = OrderedLineAsked(many=True, required=False)


class CustomerOrderAsked(serializers.Serializer[Any]):
    """A new order of a customer."""

    number = TextField(max_length=40)
    customer = PartyField(role=Party.Role.CUSTOMER)
    customer_reference = WordsField(60)
    wanted_on = serializers.DateField()
    deliver_to = WordsField(200)
    note = WordsField(200)
    lines = OrderedLineAsked(many=True)


class CustomerOrderFilters(django_filters.FilterSet):
    """Narrows the list of orders."""

    customer = CodeFilter(field_name="customer__code")
    state = django_filters.ChoiceFilter(choices=CustomerOrder.State.choices, method="that_are")
    wanted_from = django_filters.DateFilter(field_name="wanted_on", lookup_expr="gte")
    wanted_until = django_filters.DateFilter(field_name="wanted_on", lookup_expr="lte")

    class Meta:
        model = CustomerOrder
        fields: tuple[str, ...] = ()

    def that_are(self, orders: QuerySet[CustomerOrder], name: str, state: str) -> QuerySet[CustomerOrder]:
        """Return the orders in that state."""
        return in_state(orders, state)


class NamesAnOrder:
    """A view whose address names an order."""

    kwargs: dict[str, Any]

    def order(self) -> CustomerOrder:
        """Return the order that the address names. Raises NotFound."""
        number = self.kwargs["number"]
        found = None if "\x00" in number else order_of_customer(number)
        if found is None:
            raise NotFound(thing="order", code=number)
        return found


class OrderShown(NamesAnOrder, Versioned):
    """A view whose answer is an order, with its revision as ETag."""

    def in_full(self, made: CustomerOrder) -> CustomerOrder:
        """Return the order as it is now."""
        fresh = customer_orders().get(pk=made.pk)
        self.shown_version = fresh.revision
        return fresh


class CustomerOrders(OrderShown, RecordList, Recording[CustomerOrder]):
    """Customers' orders, the last entered first; POST enters one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.DISPATCH}
    queryset: QuerySet[CustomerOrder] = customer_orders()
    serializer_class = answered = CustomerOrderAnswer
    asked = CustomerOrderAsked
    filterset_class = CustomerOrderFilters

    def record(self, **asked: Any) -> CustomerOrder:
        """Enter it."""
        return enter_customer_order(**asked)


class OneCustomerOrder(OrderShown, RecordDetail, Changing[CustomerOrder]):
    """One order by its number; PATCH changes it, as of the revision that was seen."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "PATCH": Right.DISPATCH}
    queryset: QuerySet[CustomerOrder] = customer_orders()
    serializer_class = answered = CustomerOrderAnswer
    changed = CustomerOrderChanges
    lookup_field = "number"
    thing: ClassVar[str] = "order"
    needs_version: ClassVar[tuple[str, ...]] = ("PATCH",)

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Show it."""
        order = self.order()
        self.shown_version = order.revision
        return Response(self.get_serializer(order).data)

    def change(self, *, changes: dict[str, Any], actor: User, request_id: UUID) -> CustomerOrder:
        """Change it, unless it was changed since the revision that was seen."""
        revision, order = version_of(self.request), self.order()
        return change_customer_order(
            order=order, revision=revision, changes=changes, actor=actor, request_id=request_id
        )


class OrderCallOffAsked(serializers.Serializer[Any]):
    """Why what is not shipped will not be."""

    reason = ReasonField()


class OrderCallOffs(OrderShown, Recording[CustomerOrder]):
    """POST: call off what is not shipped; what was picked is put back."""

    right: ClassVar[Right] = Right.DISPATCH
    queryset: QuerySet[CustomerOrder] = customer_orders()
    asked = OrderCallOffAsked
    answered = CustomerOrderAnswer

    def record(self, **asked: Any) -> CustomerOrder:
        """Call it off."""
        return call_off_customer_order(order=self.order(), **asked)


class ToPickAnswer(serializers.Serializer[Any]):
    """So many of a lot to take from one place."""

    lot = serializers.CharField(source="lot.code")
    location = serializers.CharField(source="location.code")
    count = serializers.IntegerField()
    best_before = serializers.DateField(source="lot.best_before", allow_null=True)
    is_whole_pallet = serializers.BooleanField()


class NotPickedAnswer(serializers.Serializer[Any]):
    """A lot that is there and is not proposed, or not all of it, and why."""

    lot = serializers.CharField(source="lot.code")
    count = serializers.IntegerField()
    reason = serializers.CharField()


class PickProposalAnswer(serializers.Serializer[PickProposal]):
    """What to pick for one line, first expired first out, what is left out and why, and how many are short."""

    material = serializers.CharField(source="line.material.code")
    wanted = serializers.IntegerField()
    short = serializers.IntegerField()
    minimum_days = serializers.IntegerField(allow_null=True)
    lines = ToPickAnswer(many=True)
    left_out = NotPickedAnswer(many=True)


class OrderPicking(NamesAnOrder, RecordDetail):
    """What to pick for what is still open of an order."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    queryset: QuerySet[CustomerOrder] = customer_orders()
    serializer_class = PickProposalAnswer
    lookup_field = "number"
    thing: ClassVar[str] = "order"
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="customer_order_picking", responses=PickProposalAnswer(many=True))
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer it."""
        proposals: Any = proposals_for(progress_of_order(self.order()))
        return Response(PickProposalAnswer(proposals, many=True).data)


class OrderPickAnswer(serializers.Serializer[Pick]):
    """So many of a lot that were picked."""

    id = serializers.IntegerField()
    order = serializers.CharField(source="line.order.number")
    lot = serializers.CharField(source="lot.code")
    location = serializers.CharField(source="location.code")
    count = serializers.IntegerField()
    more_because = serializers.CharField()
    short_life_reason = serializers.CharField()
    picked_at = serializers.DateTimeField()
    put_back_at = serializers.DateTimeField(allow_null=True)


class OrderPickAsked(serializers.Serializer[Any]):
    """So many of a lot, from one place."""

    lot = LotField()
    location = PlaceField()
    count = serializers.IntegerField(min_value=1, max_value=MOST_OF_ONE)
    more_because = WordsField(200)
    short_life_reason = WordsField(200)


class OrderPicks(NamesAnOrder, Recording[Pick]):
    """POST: pick so many of a lot for the order."""

    right: ClassVar[Right] = Right.DISPATCH
    asked = OrderPickAsked
    answered = OrderPickAnswer

    def record(self, **asked: Any) -> Pick:
        """Pick it."""
        return pick(order=self.order(), **asked)


class PickPutBacks(Recording[Pick]):
    """POST: put back what was picked and is not shipped."""

    right: ClassVar[Right] = Right.DISPATCH
    asked = NothingAsked
    answered = OrderPickAnswer

    def record(self, **asked: Any) -> Pick:
        """Put it back."""
        found = Pick.objects.select_related("line__order", "lot").filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise NotFound(thing="pick", code=str(self.kwargs["pk"]))
        return put_back(pick=found, **asked)


class OrderShipmentAsked(serializers.Serializer[Any]):
    """When it left, under which delivery note, and who drove it."""

    happened_at = MomentField()
    note_number = TextField(max_length=60)
    carrier = WordsField(80)
    vehicle = WordsField(40)
    driver = WordsField(80)
    seal = WordsField(40)
    short_life_reason = WordsField(200)
    override_reason = ReasonField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read, with the `papers`."""
        papers = Papers(**{name: attrs.pop(name) for name in ("carrier", "vehicle", "driver", "seal")})
        return {**attrs, "papers": papers}


class OrderShipments(NamesAnOrder, LedgerRecording):
    """POST: ship all that is picked for the order; what is not picked stays open."""

    right: ClassVar[Right] = Right.DISPATCH
    asked = OrderShipmentAsked

    def record(self, **asked: Any) -> Event:
        """Ship it."""
        return ship_order(order=self.order(), **asked)
