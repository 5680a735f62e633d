"""Deliveries: lots that come in from a supplier."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Delivery, DeliveryChange, DeliveryLine, Event, Location, Lot, Material, OrderLine, Party
from inventory.services.posting import LotFacts, NewLot, recording
from inventory.services.refusals import CrossContact
from inventory.services.silos import heel_of, refill, refuse_cross_contact
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places


class OrderedElsewhere(DomainError):
    code = "ordered_elsewhere"
    status = 400
    title = "The order is for something else."
    template = "Order {order} is for {ordered} from {other}; here comes {material} from {supplier}."
    advice = "Name the order that asked for it, or none."


@dataclass(frozen=True)
class ReceivedLot:
    """One lot of a delivery and where it was put.

    `contents_code` names the new contents where the place is a mixed silo that still holds something, `order_line`
    what of an order it is.
    """

    material: Material
    code: str
    quantity_micro: int
    location: Location
    supplier_lot: str = ""
    best_before: date | None = None
    generation: int | None = None
    contents_code: str = ""
    crop_year: int | None = None
    package_micro: int | None = None
    order_line: OrderLine | None = None


@once("receive_delivery", returns=Event)
def receive_delivery(
    *,
    supplier: Party,
    note_number: str,
    lines: Sequence[ReceivedLot],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    unclean_reason: str = "",
) -> Event:
    """Every line is a new lot from the supplier in its place; a refilled mixed silo holds a new lot of its contents.

    The new contents of a silo may be used only as far as the strictest of what went in. `unclean_reason` says why a
    brink was filled that was not cleaned. Where a line names what was ordered, the delivery counts towards the order.
    Raises NothingToDo, WrongPlace, CrossContact for another material in a silo, OrderedElsewhere, InvalidInput, and the
    refusals of the ledger.
    """
    refuse_ordered_elsewhere(supplier, lines)
    event = receive_lots(
        supplier=supplier,
        note_number=note_number,
        lines=lines,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
        unclean_reason=unclean_reason,
    )
    if any(line.order_line for line in lines):
        _keep_as_booked(event, supplier, lines)
    return event


def refuse_ordered_elsewhere(supplier: Party, lines: Sequence[ReceivedLot]) -> None:
    """Raise OrderedElsewhere where a line names an order with another supplier, or of another material."""
    for index, line in enumerate(lines):
        ordered = line.order_line
        if ordered and (ordered.order.supplier_id != supplier.pk or ordered.material_id != line.material.pk):
            raise OrderedElsewhere(
                order=ordered.order,
                ordered=ordered.material,
                other=ordered.order.supplier,
                material=line.material,
                supplier=supplier,
                field=f"lines[{index}].order_line",
            )


def _keep_as_booked(event: Event, supplier: Party, lines: Sequence[ReceivedLot]) -> None:
    """The delivery stands among the booked ones, each line beside its lot."""
    moment = now()
    delivery = Delivery.objects.create(
        supplier=supplier,
        note_number=event.reference,
        arrived_at=event.happened_at,
        state=Delivery.State.BOOKED,
        opened_by=event.actor,
        opened_at=moment,
        changed_at=moment,
        event=event,
    )
    lots = {lot.code: lot for lot in Lot.objects.filter(made_by=event)}
    DeliveryLine.objects.bulk_create(
        DeliveryLine(
            delivery=delivery,
            position=position,
            order_line=line.order_line,
            material=line.material,
            lot_code=line.code,
            supplier_lot=line.supplier_lot,
            crop_year=line.crop_year,
            quantity_micro=line.quantity_micro,
            package_micro=line.package_micro,
            best_before=line.best_before,
            generation=line.generation,
            location=line.location,
            contents_code=line.contents_code,
            lot=lots[line.code],
        )
        for position, line in enumerate(lines, start=1)
    )
    DeliveryChange.objects.create(
        delivery=delivery, version=1, touched=[], words="booked it", actor=event.actor, changed_at=moment
    )


def receive_lots(
    *,
    supplier: Party,
    note_number: str,
    lines: Sequence[ReceivedLot],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    unclean_reason: str = "",
) -> Event:
    """As `receive_delivery`, within the transaction and under the request of the caller."""
    refuse_no_lines(lines, "The delivery")
    for line in lines:
        for check in LINE_CHECKS:
            check(line)
    for line, others in each_with_those_before(lines):
        refuse_beside(line, others)
    origin = Location.objects.get(party=supplier, kind=Location.Kind.SUPPLIER)
    heels = {place.pk: heel_of(place) for place in {line.location for line in lines}}
    with recording(
        Event.Kind.RECEIVE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=note_number,
        unclean_reason=unclean_reason,
        uses=[heel for heel in heels.values() if heel],
    ) as record:
        lots = record.make_all([_new_lot(line, supplier) for line in lines])
        for line, lot in zip(lines, lots, strict=True):
            heel = heels.get(line.location.pk)
            if heel and record.held_micro(heel, line.location):
                record.locked[lot.pk] = lot
                refill(record, heel, Part(lot, origin, line.quantity_micro), line.location, line.contents_code)
            else:
                record.post(lot, from_=origin, to=line.location, quantity_micro=line.quantity_micro)
    return record.event


def _new_lot(line: ReceivedLot, supplier: Party) -> NewLot:
    facts = LotFacts(
        supplier=supplier,
        supplier_lot=line.supplier_lot,
        best_before=line.best_before,
        generation=line.generation,
        crop_year=line.crop_year,
        package_micro=line.package_micro,
    )
    return NewLot(line.code, line.material, line.quantity_micro, facts)


def _refuse_place(line: ReceivedLot) -> None:
    refuse_other_places(line.location, Location.STOCK, "store, silo or brink")


def _refuse_generation(line: ReceivedLot) -> None:
    if (line.material.kind == Material.Kind.YEAST) != (line.generation is not None):
        raise InvalidInput(field="generation", value=line.generation, problem="Yeast, and nothing else, has one.")


def _refuse_cross_contact(line: ReceivedLot) -> None:
    refuse_cross_contact(line.location, line.material)


LINE_CHECKS: tuple[Callable[[ReceivedLot], None], ...] = (_refuse_place, _refuse_generation, _refuse_cross_contact)
"""What is looked at of each line by itself."""


def each_with_those_before(lines: Sequence[ReceivedLot]) -> Iterator[tuple[ReceivedLot, list[ReceivedLot]]]:
    """Yield each line into a silo with those before it that go into the same one."""
    before: dict[int, list[ReceivedLot]] = defaultdict(list)
    for line in lines:
        if line.location.kind == Location.Kind.SILO:
            yield line, list(before[line.location.pk])
            before[line.location.pk].append(line)


def refuse_beside(line: ReceivedLot, before: Sequence[ReceivedLot]) -> None:
    """Raise CrossContact for another material in the same silo, InvalidInput for a second lot in a mixed one."""
    for other in before:
        if other.material.pk != line.material.pk:
            raise CrossContact(
                location=line.location, held=other.material, held_lot=other.code, comes=line.material, field="location"
            )
    if before and line.location.holds_one_lot:
        raise InvalidInput(
            field="location",
            value=line.location.code,
            problem="A mixed silo takes one lot a delivery: record them apart.",
        )
