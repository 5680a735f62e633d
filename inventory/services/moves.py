"""Moves: a lot goes from one place of the brewery to another and stays what it is."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Location, Lot
from inventory.services.filling import residue_for
from inventory.services.mixing import rehouse
from inventory.services.posting import recording
from inventory.services.silos import heel_of, refill, refuse_cross_contact
from inventory.services.stock import Part, refuse_other_places


@once("move_stock", returns=Event)
def move_stock(
    *,
    lot: Lot,
    from_location: Location,
    to_location: Location,
    quantity_micro: int,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    reason: str = "",
    contents_code: str = "",
    unclean_reason: str = "",
) -> Event:
    """A quantity of the lot lies in another store, silo or brink. A held lot may be moved.

    A mixed silo that still holds something then holds new contents of both, under `contents_code`; that takes a
    released lot. In a brink that was not cleaned, with `unclean_reason`, the part is a new lot under `contents_code`
    that carries the residue. Raises WrongPlace (a tank is emptied by a transfer, a brew by a return), InvalidInput,
    CrossContact, and the refusals of the ledger.
    """
    refuse_other_places(from_location, Location.STOCK, "store, silo or brink", "from_location")
    refuse_other_places(to_location, Location.STOCK, "store, silo or brink", "to_location")
    if from_location == to_location:
        raise InvalidInput(field="to_location", value=to_location.code, problem="Choose another place than the first.")
    refuse_cross_contact(to_location, lot.material)
    heel = heel_of(to_location)
    mixes = heel is not None and heel != lot
    residue = residue_for(lot, to_location, happened_at) if unclean_reason else None
    with recording(
        Event.Kind.REFILL if mixes else Event.Kind.MOVE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[lot, heel] if heel else [lot],
        reason=reason,
        unclean_reason=unclean_reason,
    ) as record:
        part = Part(lot, from_location, quantity_micro)
        if heel and mixes:
            refill(record, heel, part, to_location, contents_code)
        elif residue and contents_code:
            rehouse(record, part, to_location, contents_code)
        else:
            record.post(record.lot(lot), from_=from_location, to=to_location, quantity_micro=quantity_micro)
    return record.event
