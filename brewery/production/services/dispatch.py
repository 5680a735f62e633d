"""Dispatch: packaged beer goes out to customers, and some of it comes back."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.tanks import refuse_other_materials
from inventory.models import Event, Location, LogisticUnit, Material, Party
from inventory.services.claims import refuse_contradicted
from inventory.services.pallets import everything_on, locked_pallet
from inventory.services.posting import recording
from inventory.services.refusals import ReasonMissing
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places

LEAVES_FROM = (Location.Kind.STORE, Location.Kind.PALLET)


@once("ship", returns=Event)
def ship(
    *,
    customer: Party,
    note_number: str,
    parts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
) -> Event:
    """All parts are at the customer, or none is. Raises NothingToDo, WrongMaterial, WrongPlace, LotNotReleased,
    ClaimsContradicted where what it is made of contradicts what is claimed, and the refusals of the ledger.
    """
    return _shipped(customer, note_number, parts, happened_at, actor, request_id, override_reason)


@once("ship_pallet", returns=Event)
def ship_pallet(
    *,
    customer: Party,
    note_number: str,
    unit: LogisticUnit,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
) -> Event:
    """All that is on the pallet is at the customer. Raises what `ship` raises."""
    parts = everything_on(locked_pallet(unit))
    return _shipped(customer, note_number, parts, happened_at, actor, request_id, override_reason)


def _shipped(
    customer: Party,
    note_number: str,
    parts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str,
) -> Event:
    refuse_no_lines(parts, "The shipment")
    for part in parts:
        refuse_other_places(part.location, LEAVES_FROM, "store or pallet")
        refuse_other_materials(part.lot, (Material.Kind.PACKAGED,), "packaged beer")
    refuse_contradicted([part.lot for part in parts])
    with recording(
        Event.Kind.SHIP,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=note_number,
        uses=[part.lot for part in parts],
        override_reason=override_reason,
    ) as record:
        place = place_of(customer)
        for part in parts:
            record.post(record.lot(part.lot), from_=part.location, to=place, quantity_micro=part.quantity_micro)
    return record.event


@once("take_back", returns=Event)
def take_back(
    *, customer: Party, parts: Sequence[Part], reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> Event:
    """All parts lie in the stores they name again, back from the customer. Raises ReasonMissing, NothingToDo,
    WrongPlace, NotEnoughThere where the customer never had that much, and the refusals of the ledger.
    """
    refuse_no_lines(parts, "The return")
    if not reason:
        raise ReasonMissing(what="A return from a customer", field="reason")
    for part in parts:
        refuse_other_places(part.location, (Location.Kind.STORE,), "store")
    with recording(
        Event.Kind.TAKE_BACK,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reason=reason,
        uses=[part.lot for part in parts],
    ) as record:
        place = place_of(customer)
        for part in parts:
            record.post(record.lot(part.lot), from_=place, to=part.location, quantity_micro=part.quantity_micro)
    return record.event


def place_of(customer: Party) -> Location:
    """Return the location that stands for what a customer holds."""
    return Location.objects.get(party=customer, kind=Location.Kind.CUSTOMER)
