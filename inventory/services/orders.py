"""Purchase orders: what is expected from a supplier, entered once, and closed when no more of it will come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Material, OrderLine, Party, PurchaseOrder, SupplyContract
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.checks import refuse_not_positive
from inventory.services.contract_calls import refuse_beyond_contracts
from inventory.services.refusals import ReasonMissing
from inventory.services.stock import refuse_no_lines


class OrderNumberTaken(DomainError):
    code = "order_number_taken"
    title = "The order's number is taken."
    template = "Order {number} with {supplier} is entered already, of {ordered_on}."
    advice = "Look it up, or give this one another number."


class OrderClosed(DomainError):
    code = "order_closed"
    title = "The order is closed already."
    template = "Order {number} was closed on {closed_at}: {reason}."
    advice = "Enter a new order for what is still to come."


class NoSupplier(DomainError):
    code = "no_supplier"
    status = 400
    title = "Only suppliers deliver."
    template = "{party} is a {role}; this needs a supplier."
    advice = "Choose a supplier."


@dataclass(frozen=True)
class OrderedLine:
    """One material of an order, and by when it should come."""

    material: Material
    quantity_micro: int
    due_on: date
    supplier_reference: str = ""
    contract: SupplyContract | None = None


@once("enter_order", returns=PurchaseOrder)
def enter_order(
    *,
    number: str,
    supplier: Party,
    ordered_on: date,
    lines: Sequence[OrderedLine],
    actor: User,
    request_id: UUID,
    note: str = "",
) -> PurchaseOrder:
    """The order is expected, with its lines in the order given.

    Raises NothingToDo without lines, NoSupplier, OrderNumberTaken, OtherContract, BeyondContract, InvalidInput.
    """
    refuse_no_lines(lines, "The order")
    refuse_no_supplier(supplier)
    _refuse_number(number)
    for index, line in enumerate(lines):
        _refuse_line(index, line, ordered_on)
    refuse_beyond_contracts(
        [(line.contract, line.material, line.quantity_micro) for line in lines], supplier, ordered_on
    )
    order = PurchaseOrder.objects.create(
        number=number, supplier=supplier, ordered_on=ordered_on, note=note, request_id=request_id
    )
    OrderLine.objects.bulk_create(
        OrderLine(
            order=order,
            position=position,
            material=line.material,
            quantity_micro=line.quantity_micro,
            due_on=line.due_on,
            supplier_reference=line.supplier_reference,
            contract=line.contract,
        )
        for position, line in enumerate(lines, start=1)
    )
    ring_for_alerts(Bell.ORDER)
    return order


@once("close_order", returns=PurchaseOrder)
def close_order(*, order: PurchaseOrder, reason: str, actor: User, request_id: UUID) -> PurchaseOrder:
    """Nothing more is expected of the order. Raises ReasonMissing, OrderClosed."""
    if not reason.strip():
        raise ReasonMissing(what="Closing an order", field="reason")
    locked = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    if locked.closed_at:
        raise OrderClosed(
            number=locked.number, closed_at=on_the_wall(locked.closed_at), reason=locked.closed_reason, field="order"
        )
    locked.closed_at, locked.closed_reason = now(), reason
    locked.save(update_fields=["closed_at", "closed_reason"])
    ring_for_alerts(Bell.ORDER)
    return locked


def refuse_no_supplier(party: Party) -> None:
    """Raise NoSupplier unless the party supplies the brewery."""
    if party.role != Party.Role.SUPPLIER:
        raise NoSupplier(party=party, role=party.get_role_display(), field="supplier")


def _refuse_number(number: str) -> None:
    if not number.strip():
        raise InvalidInput(field="number", value=number, problem="An order has a number.")
    there = PurchaseOrder.objects.filter(number=number).select_related("supplier").first()
    if there:
        raise OrderNumberTaken(
            number=number, supplier=there.supplier, ordered_on=there.ordered_on.isoformat(), field="number"
        )


def _refuse_line(index: int, line: OrderedLine, ordered_on: date) -> None:
    refuse_not_positive(line.quantity_micro, f"lines[{index}].quantity", line.material.base_unit)
    if line.due_on < ordered_on:
        raise InvalidInput(
            field=f"lines[{index}].due_on",
            value=line.due_on.isoformat(),
            problem=f"It cannot come before it was ordered, on {ordered_on.isoformat()}.",
        )
