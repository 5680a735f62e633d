"""Knock-out: all that was drawn for a brew becomes wort, in one tank or several."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import Brew
from brewery.production.queries.knocked_out import blends_of
from brewery.production.services.blends import blend_into, move_over
from brewery.production.services.refusals import NotKnockedOut
from brewery.production.services.tanks import Fill, refuse_other_than_tanks
from brewery.production.services.work import drawn_parts, finished_by, lock_work, refuse_finished
from inventory.models import Event, Location, Lot, Material
from inventory.queries.contents import contents_of
from inventory.services.checks import refuse_not_positive
from inventory.services.filling import residue_for
from inventory.services.mixing import consume_all
from inventory.services.posting import Recording, recording
from inventory.services.refusals import VesselOccupied, WrongMaterial
from inventory.services.registers import boundary
from inventory.services.reversals import reverse_event
from inventory.services.stock import Part, refuse_no_lines


@once("knock_out", returns=Event)
def knock_out(
    *,
    brew: Brew,
    wort_material: Material,
    wort_code: str,
    fills: Sequence[Fill],
    loss_micro: int,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
    unclean_reason: str = "",
) -> Event:
    """Wort of everything drawn lies in the tanks; in a tank that held something, as new contents of both.

    Volumes and loss are of cold wort, and together they are the wort lot. A lot put on hold since it was drawn is
    knocked out only with `override_reason`. A tank that was not cleaned takes `unclean_reason`: all of the wort carries
    the residue where it goes into that tank alone, and else a lot of its own under the fill's code does.

    Raises AlreadyKnockedOut, NothingDrawn, ContentsCodeMissing, WrongPlace, WrongMaterial, VesselOccupied, and the
    refusals of the ledger.
    """
    refuse_finished(brew)
    _refuse_fills(fills)
    _refuse_other_than_wort(wort_material)
    parts = drawn_parts(brew)
    lying = {fill.vessel.pk: contents_of(fill.vessel) for fill in fills}
    apart = _apart(fills, lying, happened_at, unclean_reason)
    told: dict[str, Any] = {
        "actor": actor,
        "request_id": request_id,
        "happened_at": happened_at,
        "override_reason": override_reason,
    }
    # All that the blends below take too, so that every lot is locked at once and in order.
    uses = [*(part.lot for part in parts), *(held for held in lying.values() if held)]
    with recording(
        Event.Kind.KNOCK_OUT, reference=brew.code, uses=uses, unclean_reason=unclean_reason, **told
    ) as record:
        wort = _make_wort(record, parts, wort_code, wort_material, fills, loss_micro)
        for fill in fills:
            # Wort that becomes another lot in its tank stays with the brew until one of the events below takes it.
            place = brew.location if fill.vessel.pk in apart else fill.vessel
            record.post(wort, from_=boundary(Location.Kind.TRANSFORMED), to=place, quantity_micro=fill.quantity_micro)
    for fill in fills:
        held, part = lying[fill.vessel.pk], Part(wort, brew.location, fill.quantity_micro)
        if held:
            blend_into(part, fill, held, kind=Event.Kind.BLEND, **told)
        elif fill.vessel.pk in apart:
            move_over(part, fill, unclean_reason=unclean_reason, **told)
    return record.event


@once("undo_knock_out", returns=Event)
def undo_knock_out(*, brew: Brew, reason: str, actor: User, request_id: UUID) -> Event:
    """All lies in the brew again, and every tank holds what it held: blends are reversed first, then the knock-out.

    All of it or nothing. Returns the reversal of the knock-out. Raises NotKnockedOut, ReasonMissing, OutputInUse.
    """
    lock_work(brew)
    event = finished_by(brew)
    if event is None:
        raise NotKnockedOut(brew=brew.code, field="brew")
    for undone in [*blends_of(brew), event]:
        reversal = reverse_event(
            event=undone, reason=reason, actor=actor, request_id=uuid5(request_id, f"undo {undone.pk}")
        )
    return reversal


def _apart(fills: Sequence[Fill], lying: dict[int, Lot | None], happened_at: datetime, unclean_reason: str) -> set[int]:
    """Return the tanks whose wort becomes another lot: those that hold something, and the uncleaned of several."""
    occupied = {key for key, held in lying.items() if held}
    if not unclean_reason or len(fills) == 1:
        return occupied
    unclean = {fill.vessel.pk for fill in fills if residue_for(None, fill.vessel, happened_at)}
    return occupied | unclean


def _refuse_other_than_wort(material: Material) -> None:
    if material.kind != Material.Kind.WORT:
        raise WrongMaterial(lot=material.name, kind=material.get_kind_display(), wanted="a wort", field="wort_material")


def _refuse_fills(fills: Sequence[Fill]) -> None:
    refuse_no_lines(fills, "The knock-out")
    refuse_other_than_tanks(*(fill.vessel for fill in fills))
    vessels = [fill.vessel for fill in fills]
    for fill in fills:
        refuse_not_positive(fill.quantity_micro, "quantity", "L")
        if vessels.count(fill.vessel) > 1:
            raise VesselOccupied(
                location=fill.vessel, held_lot="this wort", lot="this wort, a second time", field="vessel"
            )


def _make_wort(
    record: Recording, parts: Sequence[Part], code: str, material: Material, fills: Sequence[Fill], loss_micro: int
) -> Lot:
    """Make the wort lot of all parts and book its loss; the fills are posted by the caller."""
    transformed = boundary(Location.Kind.TRANSFORMED)
    wort = record.make(code, material, sum(fill.quantity_micro for fill in fills) + loss_micro)
    consume_all(record, parts, wort, transformed)
    if loss_micro:
        record.post(wort, from_=transformed, to=boundary(Location.Kind.LOSS), quantity_micro=loss_micro)
    return wort
