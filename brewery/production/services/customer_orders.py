"""Customers' orders: entered, changed as they were seen, and called off."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import CustomerOrder, CustomerOrderLine
from brewery.production.queries.customer_orders import (
    LineProgress,
    OrderProgress,
    customer_orders,
    open_picks,
    progress_of_order,
)
from brewery.production.services.dispatch_refusals import (
    LineIsPicked,
    NotOnTheOrder,
    OrderChangedMeanwhile,
    OrderNotOpen,
)
from inventory.models import Location, Lot, Material, Party, Reservation
from inventory.services.checks import refuse_the_future
from inventory.services.customers import refuse_no_customer
from inventory.services.posting import lock_lots
from inventory.services.refusals import ReasonMissing, WrongMaterial
from inventory.services.registers import refuse_code_in_use
from inventory.services.reservations import let_go
from inventory.services.stock import refuse_no_lines

CHANGEABLE = ("customer_reference", "wanted_on", "deliver_to", "note")
FURTHEST = timedelta(days=2 * 366)
"""How far ahead beer is ordered (common practice, no source)."""
MOST_OF_ONE = 1_000_000


@dataclass(frozen=True)
class WantedLine:
    """So many of one packaged beer."""

    material: Material
    count: int


@once("enter_customer_order", returns=CustomerOrder)
def enter_customer_order(
    *,
    number: str,
    customer: Party,
    wanted_on: date,
    lines: Sequence[WantedLine],
    actor: User,
    request_id: UUID,
    customer_reference: str = "",
    deliver_to: str = "",
    note: str = "",
    entered_at: datetime | None = None,
) -> CustomerOrder:
    """The order is open, with its lines in the order given.

    `entered_at` is when somebody else's record took it; the day it is wanted on is not before that. Raises NoCustomer,
    NothingToDo, WrongMaterial, InTheFuture, InvalidInput for a number in use or a day that cannot be.
    """
    refuse_no_customer(customer)
    _refuse_number(number)
    moment = entered_at or now()
    refuse_the_future(moment, "entered_at")
    _refuse_day(wanted_on, brewery_day(moment))
    _refuse_lines(lines)
    order = CustomerOrder.objects.create(
        number=number.strip(),
        customer=customer,
        customer_reference=customer_reference,
        wanted_on=wanted_on,
        deliver_to=deliver_to,
        note=note,
        entered_by=actor,
        entered_at=moment,
        request_id=request_id,
    )
    _write_lines(order, lines)
    return order


@once("change_customer_order", returns=CustomerOrder)
def change_customer_order(
    *, order: CustomerOrder, revision: int, changes: Mapping[str, Any], actor: User, request_id: UUID
) -> CustomerOrder:
    """The order says what `changes` name of CHANGEABLE, and has the `lines` where those are given.

    Raises OrderNotOpen, OrderChangedMeanwhile, LineIsPicked, and what `enter_customer_order` raises.
    """
    progress = locked_order(order)
    locked = progress.order
    if locked.revision != revision:
        raise OrderChangedMeanwhile(order=locked.number, revision=locked.revision, seen=revision, field="revision")
    refuse_not_open(progress)
    if changes.get("wanted_on", locked.wanted_on) != locked.wanted_on:
        _refuse_day(changes["wanted_on"], brewery_day())
    for name in CHANGEABLE:
        if name in changes:
            setattr(locked, name, changes[name])
    if "lines" in changes:
        _refuse_lines(changes["lines"])
        _change_lines(progress, changes["lines"])
    touch(locked)
    return locked


@once("call_off_customer_order", returns=CustomerOrder)
def call_off_customer_order(*, order: CustomerOrder, reason: str, actor: User, request_id: UUID) -> CustomerOrder:
    """What is not shipped will not be; what was picked is put back and reserved no more.

    Raises ReasonMissing, OrderNotOpen.
    """
    if not reason.strip():
        raise ReasonMissing(what="Calling off an order", field="reason")
    progress = locked_order(order)
    refuse_not_open(progress)
    locked = progress.order
    let_all_go(locked, actor, request_id)
    open_picks().filter(line__order=locked).update(put_back_at=now())
    locked.called_off_because = reason.strip()
    touch(locked)
    return locked


def locked_order(order: CustomerOrder) -> OrderProgress:
    """Return the order, locked and fresh: one person at a time picks, ships or changes it."""
    CustomerOrder.objects.select_for_update().get(pk=order.pk)
    return progress_of_order(customer_orders().get(pk=order.pk))


def refuse_not_open(progress: OrderProgress) -> None:
    """Raise OrderNotOpen where all of the order is shipped, or it was called off."""
    if progress.state in (CustomerOrder.State.SHIPPED, CustomerOrder.State.CALLED_OFF):
        raise OrderNotOpen(order=progress.order.number, state=progress.state.label, field="order")


def line_for(progress: OrderProgress, lot: Lot) -> LineProgress:
    """Return the line that asks for what the lot is. Raises NotOnTheOrder."""
    for line in progress.lines:
        if line.line.material_id == lot.material_id:
            return line
    raise NotOnTheOrder(lot=lot.code, material=lot.material, order=progress.order.number, field="lot")


def touch(order: CustomerOrder) -> None:
    """Write the order under its next revision."""
    order.revision += 1
    order.save()


def let_all_go(order: CustomerOrder, actor: User, request_id: UUID) -> None:
    """Nothing is reserved for the order any more. Its lots are locked at once, so nobody waits in a circle."""
    kept = list(Reservation.objects.filter(purpose=order.number, let_go_at=None).select_related("lot").order_by("lot"))
    lock_lots([one.lot for one in kept])
    for one in kept:
        let_go(reservation=one, actor=actor, request_id=uuid5(request_id, f"let go {one.pk}"))


def _refuse_number(number: str) -> None:
    if not number.strip():
        raise InvalidInput(field="number", value=number, problem="An order has a number.")
    taken = CustomerOrder.objects.filter(number=number.strip()).exists()
    # What is reserved for an order bears its number, which must not read as the code of a place.
    refuse_code_in_use(taken or Location.objects.filter(code=number.strip()).exists(), number)


def _refuse_day(day: date, first: date) -> None:
    if not first <= day <= first + FURTHEST:
        problem = f"Give a day from {first.isoformat()} to {(first + FURTHEST).isoformat()}."
        raise InvalidInput(field="wanted_on", value=day.isoformat(), problem=problem)


def _refuse_lines(lines: Sequence[WantedLine]) -> None:
    refuse_no_lines(lines, "The order")
    seen: set[int] = set()
    for index, line in enumerate(lines):
        material, field = line.material, f"lines[{index}]"
        if material.kind != Material.Kind.PACKAGED:
            kind = material.get_kind_display()
            raise WrongMaterial(lot=material.name, kind=kind, wanted="packaged beer", field=f"{field}.material")
        if material.pk in seen:
            raise InvalidInput(field=f"{field}.material", value=material.code, problem="It is on the order already.")
        if not 0 < line.count <= MOST_OF_ONE:
            raise InvalidInput(field=f"{field}.count", value=line.count, problem=f"Give 1 to {MOST_OF_ONE}.")
        seen.add(material.pk)


def _write_lines(order: CustomerOrder, lines: Sequence[WantedLine], first: int = 1) -> None:
    CustomerOrderLine.objects.bulk_create(
        CustomerOrderLine(order=order, position=position, material=line.material, count=line.count)
        for position, line in enumerate(lines, start=first)
    )


def _change_lines(progress: OrderProgress, lines: Sequence[WantedLine]) -> None:
    """Change counts, add lines and take lines away; a line that anything was ever picked for stays."""
    wanted = {line.material.pk: line.count for line in lines}
    for there in progress.lines:
        line, gone = there.line, there.picked + there.shipped
        count = wanted.pop(line.material_id, 0)
        if count < gone or (not count and line.picks.exists()):
            raise LineIsPicked(
                material=line.material, there=gone, order=progress.order.number, asked=count, field="lines"
            )
        if count:
            CustomerOrderLine.objects.filter(pk=line.pk).update(count=count)
        else:
            line.delete()
    last = max([one.line.position for one in progress.lines], default=0)
    _write_lines(progress.order, [line for line in lines if line.material.pk in wanted], last + 1)
