"""Customers' orders: how much of each is picked and shipped, and what that makes of the order."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, F, OuterRef, Prefetch, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from brewery.production.models import CustomerOrder, CustomerOrderLine, Pick

State = CustomerOrder.State


@dataclass(frozen=True)
class LineProgress:
    """One line of an order: how many are picked and shipped, and how many nobody has picked yet."""

    line: CustomerOrderLine
    picked: int
    shipped: int
    is_called_off: bool

    @property
    def open(self) -> int:
        """How many are still to pick: none once the order is called off."""
        return 0 if self.is_called_off else max(0, self.line.count - self.picked - self.shipped)


@dataclass(frozen=True)
class OrderProgress:
    """One order with its lines."""

    order: CustomerOrder
    lines: list[LineProgress]

    @property
    def state(self) -> CustomerOrder.State:
        """What the picks and shipments make of the order."""
        if self.order.called_off_because:
            return State.CALLED_OFF
        if any(one.open for one in self.lines):
            return State.OPEN
        return State.PICKED if any(one.shipped < one.line.count for one in self.lines) else State.SHIPPED

    @property
    def picked(self) -> int:
        """How many wait to be shipped."""
        return sum(one.picked for one in self.lines)

    def is_late(self, today: date) -> bool:
        """Return whether some of it should have gone before today."""
        return self.order.wanted_on < today and self.state in (State.OPEN, State.PICKED)


def open_picks() -> QuerySet[Pick]:
    """Return the picks that wait to be shipped."""
    return Pick.objects.filter(put_back_at=None, shipment=None)


def shipped_picks() -> QuerySet[Pick]:
    """Return the picks that were shipped, and not taken back by a reversal."""
    return Pick.objects.filter(shipment__isnull=False, shipment__event__reversed_by=None)


def customer_order_lines() -> QuerySet[Any]:
    """Return the lines of orders with `picked` and `shipped`, each a count."""
    lines = CustomerOrderLine.objects.select_related("material", "order__customer")
    return lines.annotate(picked=_sum(open_picks()), shipped=_sum(shipped_picks()))


def customer_orders() -> QuerySet[CustomerOrder]:
    """Return the orders, each with its customer and its lines as above: two questions however many."""
    lines = Prefetch("lines", customer_order_lines())
    return CustomerOrder.objects.select_related("customer", "entered_by").prefetch_related(lines)


def progress_of_order(order: CustomerOrder) -> OrderProgress:
    """Return how far an order of `customer_orders` has come."""
    is_off = bool(order.called_off_because)
    lines: Iterable[Any] = order.lines.all()
    return OrderProgress(order, [LineProgress(line, int(line.picked), int(line.shipped), is_off) for line in lines])


def in_state(orders: QuerySet[CustomerOrder], state: str) -> QuerySet[CustomerOrder]:
    """Return those of the orders that are in the state, told as `OrderProgress.state` tells it."""
    if state == State.CALLED_OFF:
        return orders.exclude(called_off_because="")
    lines = customer_order_lines().filter(order=OuterRef("pk")).order_by()
    unpicked = Exists(lines.filter(count__gt=F("picked") + F("shipped")))
    unshipped = Exists(lines.filter(count__gt=F("shipped")))
    wanted = {State.OPEN: unpicked, State.PICKED: ~unpicked & unshipped, State.SHIPPED: ~unshipped}
    return orders.filter(wanted[State(state)], called_off_because="")


def orders_to_ship() -> list[OrderProgress]:
    """Return the orders of which some is still to pick or to ship, those that are wanted first before the others."""
    lines = customer_order_lines().filter(order=OuterRef("pk"), count__gt=F("shipped")).order_by()
    waiting = customer_orders().filter(Exists(lines), called_off_because="").order_by("wanted_on", "number")
    return [progress_of_order(order) for order in waiting]


def order_of_customer(number: str) -> CustomerOrder | None:
    """Return the order of that number."""
    return customer_orders().filter(number=number).first()


def _sum(picks: QuerySet[Pick]) -> Coalesce:
    sums = picks.filter(line=OuterRef("pk")).order_by().values("line").annotate(sum=Sum("count")).values("sum")
    return Coalesce(Subquery(sums), Value(0))
