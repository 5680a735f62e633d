"""Moves: a lot goes from one place of the brewery to another and stays what it is."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Location, Lot
from inventory.services.posting import recording
from inventory.services.stock import refuse_other_places


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
) -> Event:
    """A quantity of the lot lies in another store, silo or brink. A held lot may be moved.

    Raises WrongPlace (a tank is emptied by a transfer, a brew by a return) and the refusals of the ledger.
    """
    refuse_other_places(from_location, Location.STOCK, "store, silo or brink", "from_location")
    refuse_other_places(to_location, Location.STOCK, "store, silo or brink", "to_location")
    with recording(
        Event.Kind.MOVE, actor=actor, request_id=request_id, happened_at=happened_at, uses=[lot], reason=reason
    ) as record:
        record.post(record.lot(lot), from_=from_location, to=to_location, quantity_micro=quantity_micro)
    return record.event
