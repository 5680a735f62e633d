"""Deliveries: lots that come in from a supplier."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Location, Material, Party
from inventory.services.posting import LotFacts, NewLot, recording
from inventory.services.refusals import CrossContact
from inventory.services.silos import heel_of, refill, refuse_cross_contact
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places


@dataclass(frozen=True)
class ReceivedLot:
    """One lot of a delivery and where it was put.

    `contents_code` names the new contents where the place is a mixed silo that still holds something.
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


@once("receive_delivery", returns=Event)
def receive_delivery(
    *,
    supplier: Party,
    note_number: str,
    lines: Sequence[ReceivedLot],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
) -> Event:
    """Every line is a new lot from the supplier in its place; a refilled mixed silo holds a new lot of its contents.

    The new contents of a silo may be used only as far as the strictest of what went in. Raises NothingToDo,
    WrongPlace, CrossContact for another material in a silo, InvalidInput, and the refusals of the ledger.
    """
    return receive_lots(
        supplier=supplier,
        note_number=note_number,
        lines=lines,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
    )


def receive_lots(
    *,
    supplier: Party,
    note_number: str,
    lines: Sequence[ReceivedLot],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
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
