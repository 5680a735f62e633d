"""What comes into a tank: beside what it holds, as a new lot of both; into an empty one as it is, if it is clean."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.production.services.tanks import (
    Fill,
    code_for_new_contents,
    highest_generation,
    refuse_more_than_held,
    whole_contents,
)
from inventory.models import Event, Location, Lot
from inventory.services.filling import residue_for
from inventory.services.mixing import Mixture, mix, rehouse
from inventory.services.posting import recording
from inventory.services.registers import boundary
from inventory.services.stock import Part


def blend_into(
    part: Part,
    fill: Fill,
    held: Lot,
    *,
    kind: Event.Kind,
    actor: User,
    request_id: UUID,
    happened_at: datetime,
    loss_micro: int = 0,
    override_reason: str = "",
) -> Event:
    """The tank holds new contents of `held` and of `part`; what is lost on the way is booked on the part's own lot.

    Joins the caller's transaction. Raises ContentsCodeMissing, VesselEmpty, MoreThanTheTankHolds, and the refusals of
    the ledger.
    """
    code = code_for_new_contents(fill.contents_code, fill.vessel, held)
    with recording(
        kind,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[part.lot, held],
        override_reason=override_reason,
    ) as record:
        contents = whole_contents(record, record.lot(held), fill.vessel)
        source = whole_contents(record, record.lot(part.lot), part.location)
        refuse_more_than_held(source, part.quantity_micro + loss_micro)
        blend = Mixture(
            code,
            contents.lot.material,
            contents.quantity_micro + part.quantity_micro,
            fill.vessel,
            generation=highest_generation(contents.lot, record.lot(part.lot)),
        )
        mix(record, [contents, part], blend)
        if loss_micro:
            record.post(
                record.lot(part.lot), from_=part.location, to=boundary(Location.Kind.LOSS), quantity_micro=loss_micro
            )
    return record.event


def move_over(
    part: Part,
    fill: Fill,
    *,
    actor: User,
    request_id: UUID,
    happened_at: datetime,
    loss_micro: int = 0,
    override_reason: str = "",
    unclean_reason: str = "",
) -> Event:
    """The part lies in the empty tank; what is lost on the way is booked on the part's own lot.

    It stays the same lot in a clean tank; in one that was not cleaned it is a new lot under the fill's code. Joins the
    caller's transaction. Raises VesselEmpty, MoreThanTheTankHolds, and the refusals of the ledger.
    """
    residue = residue_for(part.lot, fill.vessel, happened_at) if unclean_reason else None
    with recording(
        Event.Kind.TRANSFER,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[part.lot],
        override_reason=override_reason,
        unclean_reason=unclean_reason,
    ) as record:
        lot = record.lot(part.lot)
        refuse_more_than_held(whole_contents(record, lot, part.location), part.quantity_micro + loss_micro)
        if residue and fill.contents_code:
            rehouse(record, part, fill.vessel, fill.contents_code)
        else:
            record.post(lot, from_=part.location, to=fill.vessel, quantity_micro=part.quantity_micro)
        if loss_micro:
            record.post(lot, from_=part.location, to=boundary(Location.Kind.LOSS), quantity_micro=loss_micro)
    return record.event
