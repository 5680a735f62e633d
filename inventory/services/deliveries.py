"""Deliveries: lots that come in from a supplier."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Location, Lot, Material, Party
from inventory.services.posting import LotFacts, Recording, recording
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
    refuse_no_lines(lines, "The delivery")
    for line in lines:
        _refuse_line(line)
    _refuse_one_silo_twice(lines)
    origin = Location.objects.get(party=supplier, kind=Location.Kind.SUPPLIER)
    heels = {line.location.pk: heel_of(line.location) for line in lines}
    with recording(
        Event.Kind.RECEIVE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=note_number,
        uses=[heel for heel in heels.values() if heel],
    ) as record:
        for line in lines:
            lot = _make_lot(record, line, supplier)
            heel = heels.get(line.location.pk)
            if heel and record.held_micro(heel, line.location):
                record.locked[lot.pk] = lot
                refill(record, heel, Part(lot, origin, line.quantity_micro), line.location, line.contents_code)
            else:
                record.post(lot, from_=origin, to=line.location, quantity_micro=line.quantity_micro)
    return record.event


def _make_lot(record: Recording, line: ReceivedLot, supplier: Party) -> Lot:
    facts = LotFacts(
        supplier=supplier,
        supplier_lot=line.supplier_lot,
        best_before=line.best_before,
        generation=line.generation,
        crop_year=line.crop_year,
        package_micro=line.package_micro,
    )
    return record.make(line.code, line.material, line.quantity_micro, facts)


def _refuse_line(line: ReceivedLot) -> None:
    refuse_other_places(line.location, Location.STOCK, "store, silo or brink")
    if (line.material.kind == Material.Kind.YEAST) != (line.generation is not None):
        raise InvalidInput(field="generation", value=line.generation, problem="Yeast, and nothing else, has one.")
    refuse_cross_contact(line.location, line.material)


def _refuse_one_silo_twice(lines: Sequence[ReceivedLot]) -> None:
    mixed = [line.location for line in lines if line.location.filling == Location.Filling.MIXED]
    for place in mixed:
        if mixed.count(place) > 1:
            raise InvalidInput(
                field="location", value=place.code, problem="A mixed silo takes one lot a delivery: record them apart."
            )
