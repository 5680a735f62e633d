"""Blends: beer or wort comes in beside what a tank holds, and the tank then holds a new lot of both."""

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
from inventory.services.mixing import Mixture, mix
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
