"""Orders: how much of each has come, what is still to come, and what is late."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, F, OuterRef, Prefetch, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from inventory.models import Delivery, DeliveryLine, OrderLine, Party, PurchaseOrder


@dataclass(frozen=True)
class Progress:
    """How far one line of an order has come, in micro-units of its material."""

    line: OrderLine
    received_micro: int
    is_closed: bool

    @property
    def ordered_micro(self) -> int:
        """What was asked for."""
        return self.line.quantity_micro

    @property
    def outstanding_micro(self) -> int:
        """What is still to come: nothing once the order is closed."""
        return 0 if self.is_closed else max(0, self.ordered_micro - self.received_micro)

    @property
    def over_micro(self) -> int:
        """What came over and above."""
        return max(0, self.received_micro - self.ordered_micro)

    def is_late(self, today: date) -> bool:
        """Return whether some of it should have come before today."""
        return self.outstanding_micro > 0 and self.line.due_on < today


def counted_deliveries() -> QuerySet[DeliveryLine]:
    """Return the delivery lines that count: booked, and not taken back by a reversal."""
    return DeliveryLine.objects.filter(
        delivery__state=Delivery.State.BOOKED, delivery__event__reversed_by=None, lot__isnull=False
    )


def order_lines() -> QuerySet[Any]:
    """Return the lines of orders, each with `received_micro`: what was booked of the material that was ordered."""
    came = counted_deliveries().filter(order_line=OuterRef("pk"), material=OuterRef("material")).order_by()
    received = Subquery(came.values("order_line").annotate(sum=Sum("quantity_micro")).values("sum"))
    lines = OrderLine.objects.select_related("material", "order__supplier")
    return lines.annotate(received_micro=Coalesce(received, Value(0)))


def outstanding_lines() -> QuerySet[Any]:
    """Return the lines of orders that are not closed and of which some is still to come, the first due first."""
    lines = order_lines().filter(order__closed_at=None, received_micro__lt=F("quantity_micro"))
    return lines.order_by("due_on", "order__number", "position")


def orders_with_lines() -> QuerySet[PurchaseOrder]:
    """Return the orders, each with its supplier and its lines with what has come: two queries however many."""
    return PurchaseOrder.objects.select_related("supplier").prefetch_related(Prefetch("lines", order_lines()))


def open_orders(orders: QuerySet[PurchaseOrder] | None = None) -> QuerySet[PurchaseOrder]:
    """Return the orders that are not closed and of which some is still to come."""
    everything = orders_with_lines() if orders is None else orders
    return everything.filter(closed_at=None).filter(Exists(outstanding_lines().filter(order=OuterRef("pk")).order_by()))


def progress_of(lines: Iterable[Any]) -> list[Progress]:
    """Return how far the lines have come. They come from `order_lines`, with their order."""
    return [Progress(line, int(line.received_micro), line.order.closed_at is not None) for line in lines]


def expected_from(supplier: Party) -> list[Progress]:
    """Return what is still to come from a supplier, the first due first."""
    return progress_of(outstanding_lines().filter(order__supplier=supplier))


def due_by(day: date) -> list[Progress]:
    """Return what should have come by the end of that day and has not, the first due first."""
    return progress_of(outstanding_lines().filter(due_on__lte=day))
