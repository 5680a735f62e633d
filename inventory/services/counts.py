"""Counts and gauges: what was found, and the difference to what the book said."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Location, Lot
from inventory.queries.count_sheets import booked_then
from inventory.services.checks import shown
from inventory.services.posting import recording
from inventory.services.refusals import ReasonMissing
from inventory.services.registers import boundary
from inventory.services.stock import refuse_other_places


@once("count_stock", returns=Event)
def count_stock(
    *,
    lot: Lot,
    location: Location,
    counted_micro: int,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    reason: str = "",
) -> Event:
    """The book says of the lot at the location what was counted at that time; the difference is on record.

    A count that agrees is recorded too, with nothing moved. A difference needs a reason. Raises WrongPlace,
    InvalidInput, ReasonMissing, and the refusals of the ledger.
    """
    return record_count(lot, location, counted_micro, happened_at, actor=actor, request_id=request_id, reason=reason)


def record_count(
    lot: Lot,
    location: Location,
    counted_micro: int,
    happened_at: datetime,
    *,
    actor: User,
    request_id: UUID,
    reason: str,
) -> Event:
    """As `count_stock`, within the caller's transaction and request."""
    refuse_other_places(location, Location.ON_HAND, "store, silo, brink or tank")
    if counted_micro < 0:
        raise InvalidInput(field="counted", value=shown(counted_micro, lot), problem="A count is never below zero.")
    with recording(
        Event.Kind.COUNT, actor=actor, request_id=request_id, happened_at=happened_at, uses=[lot], reason=reason
    ) as record:
        difference = counted_micro - booked_then(record.lot(lot), location, happened_at)
        if difference and not reason:
            raise ReasonMissing(what="A count that differs from the book", field="reason")
        outside = boundary(Location.Kind.COUNT_DIFFERENCE)
        from_, to = (outside, location) if difference > 0 else (location, outside)
        if difference:
            record.post(record.lot(lot), from_=from_, to=to, quantity_micro=abs(difference))
    return record.event
