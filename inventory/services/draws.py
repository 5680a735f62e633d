"""Draws: parts of lots leave the stores for a brew or a packaging run, and what is left over comes back."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from inventory.models import Event, Location
from inventory.services.filling import residue_for
from inventory.services.mixing import rehouse
from inventory.services.posting import recording
from inventory.services.refusals import OneCodeForSeveralVessels
from inventory.services.silos import refuse_cross_contact
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places


def draw(
    *,
    parts: Sequence[Part],
    into: Location,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
    reason: str = "",
) -> Event:
    """All parts lie in the brew or run, or none does. Joins the caller's transaction.

    Raises NothingToDo, WrongPlace, LotNotReleased without an override, and the refusals of the ledger.
    """
    refuse_no_lines(parts, "The draw")
    refuse_other_places(into, (Location.Kind.PROCESS,), "brew or packaging run", "into")
    for part in parts:
        refuse_other_places(part.location, Location.STOCK, "store, silo or brink")
    with recording(
        Event.Kind.DRAW,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[part.lot for part in parts],
        override_reason=override_reason,
        reason=reason,
    ) as record:
        for part in parts:
            record.post(record.lot(part.lot), from_=part.location, to=into, quantity_micro=part.quantity_micro)
    return record.event


def return_to_stock(
    *,
    parts: Sequence[Part],
    out_of: Location,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    reason: str = "",
    contents_code: str = "",
    unclean_reason: str = "",
) -> Event:
    """All parts lie in stock again, each at the location it names. Joins the caller's transaction.

    In a brink that was not cleaned, with `unclean_reason`, a part is a new lot under `contents_code` that carries what
    lay there last; one such part a return. Raises NothingToDo, WrongPlace, CrossContact, OneCodeForSeveralVessels, and
    the refusals of the ledger.
    """
    refuse_no_lines(parts, "The return")
    refuse_other_places(out_of, (Location.Kind.PROCESS,), "brew or packaging run", "out_of")
    for part in parts:
        refuse_other_places(part.location, Location.STOCK, "store, silo or brink")
        refuse_cross_contact(part.location, part.lot.material)
    with recording(
        Event.Kind.RETURN_TO_STOCK,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[part.lot for part in parts],
        reason=reason,
        unclean_reason=unclean_reason,
    ) as record:
        uncleaned = _into_uncleaned(parts, happened_at) if contents_code and unclean_reason else []
        if len(uncleaned) > 1:
            locations = " and ".join(str(part.location) for part in uncleaned)
            raise OneCodeForSeveralVessels(locations=locations, lot=contents_code, field="contents_code")
        for part in parts:
            if part in uncleaned:
                came = Part(part.lot, out_of, part.quantity_micro)
                rehouse(record, came, part.location, contents_code)
            else:
                record.post(record.lot(part.lot), from_=out_of, to=part.location, quantity_micro=part.quantity_micro)
    return record.event


def _into_uncleaned(parts: Sequence[Part], happened_at: datetime) -> list[Part]:
    return [part for part in parts if residue_for(part.lot, part.location, happened_at)]
