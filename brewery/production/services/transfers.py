"""Transfers: beer or wort goes from tank to tank, whole or in part, and kraeusen and blends go in beside other beer."""

from datetime import datetime
from typing import Any
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.blends import blend_into, move_over
from brewery.production.services.tanks import (
    Fill,
    contents_or_refuse,
    refuse_other_than_tanks,
)
from inventory.models import Event, Location
from inventory.queries.contents import contents_of, held_now
from inventory.services.checks import refuse_not_positive
from inventory.services.refusals import VesselEmpty
from inventory.services.stock import Part

KINDS = (Event.Kind.TRANSFER, Event.Kind.KRAEUSEN, Event.Kind.BLEND)


@once("transfer", returns=Event)
def transfer(
    *,
    from_vessel: Location,
    to_vessel: Location,
    quantity_micro: int | None,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    loss_micro: int = 0,
    contents_code: str = "",
    kind: str = Event.Kind.TRANSFER,
    override_reason: str = "",
    unclean_reason: str = "",
) -> Event:
    """`quantity_micro` arrives in the other tank and `loss_micro` leaves the first besides.

    With None all that the tank holds goes, less the loss. Into an empty tank the lot stays the same lot; into an
    occupied one both become new contents under `contents_code`, which kraeusen and blends always need. An empty tank
    that was not cleaned takes `unclean_reason`, and what goes in is a new lot under `contents_code` that carries the
    residue. Raises VesselEmpty, ContentsCodeMissing, InvalidInput, MoreThanTheTankHolds, WrongPlace, and the refusals
    of the ledger.
    """
    _refuse_odd(kind, from_vessel, to_vessel)
    lot = contents_or_refuse(from_vessel)
    if quantity_micro is None:
        quantity_micro = held_now(lot, from_vessel) - loss_micro
    refuse_not_positive(quantity_micro, "quantity", "L")
    refuse_other_than_tanks(to_vessel)
    part, fill = Part(lot, from_vessel, quantity_micro), Fill(to_vessel, quantity_micro, contents_code)
    told: dict[str, Any] = {
        "actor": actor,
        "request_id": request_id,
        "happened_at": happened_at,
        "loss_micro": loss_micro,
        "override_reason": override_reason,
    }
    held = contents_of(to_vessel)
    if held is not None and held != lot:
        becomes = Event.Kind.BLEND if kind == Event.Kind.TRANSFER else Event.Kind(kind)
        return blend_into(part, fill, held, kind=becomes, **told)
    if kind != Event.Kind.TRANSFER:
        raise VesselEmpty(location=to_vessel, field="to_vessel")
    return move_over(part, fill, unclean_reason=unclean_reason, **told)


def _refuse_odd(kind: str, from_vessel: Location, to_vessel: Location) -> None:
    if kind not in KINDS:
        raise InvalidInput(field="kind", value=kind, problem="Choose transfer, kraeusen or blend.")
    if from_vessel == to_vessel:
        raise InvalidInput(field="to_vessel", value=to_vessel.code, problem="Choose another tank than the first.")
