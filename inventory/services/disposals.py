"""Disposals: what is destroyed, and what is sampled for the laboratory."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Location, Lot
from inventory.services.posting import recording
from inventory.services.refusals import ReasonMissing
from inventory.services.registers import boundary
from inventory.services.stock import refuse_other_places


@once("destroy", returns=Event)
def destroy(
    *,
    lot: Lot,
    location: Location,
    quantity_micro: int,
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
) -> Event:
    """A quantity of the lot is destroyed, for the reason given. A held or rejected lot may be destroyed.

    Raises ReasonMissing, WrongPlace, and the refusals of the ledger.
    """
    return write_destruction(
        lot=lot,
        location=location,
        quantity_micro=quantity_micro,
        reason=reason,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
    )


def write_destruction(
    *,
    lot: Lot,
    location: Location,
    quantity_micro: int,
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
) -> Event:
    """As `destroy`, within the caller's transaction and request."""
    if not reason:
        raise ReasonMissing(what="A destruction", field="reason")
    refuse_other_places(location, Location.INSIDE, "place inside the brewery")
    with recording(
        Event.Kind.DESTROY, actor=actor, request_id=request_id, happened_at=happened_at, uses=[lot], reason=reason
    ) as record:
        record.post(
            record.lot(lot), from_=location, to=boundary(Location.Kind.DESTROYED), quantity_micro=quantity_micro
        )
    return record.event


@once("take_sample", returns=Event)
def take_sample(
    *,
    lot: Lot,
    location: Location,
    laboratory: Location,
    quantity_micro: int,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    reason: str = "",
) -> Event:
    """A quantity of the lot lies in the laboratory. A lot may be sampled whatever its disposition.

    Raises WrongPlace, and the refusals of the ledger.
    """
    refuse_other_places(location, Location.ON_HAND, "store, silo, brink or tank")
    refuse_other_places(laboratory, (Location.Kind.LABORATORY,), "laboratory", "laboratory")
    with recording(
        Event.Kind.SAMPLE, actor=actor, request_id=request_id, happened_at=happened_at, uses=[lot], reason=reason
    ) as record:
        record.post(record.lot(lot), from_=location, to=laboratory, quantity_micro=quantity_micro)
    return record.event
