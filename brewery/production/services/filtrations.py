"""Filtration: beer goes through a filter into an empty tank, with what is lost, and with the aid that it met."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.tanks import (
    contents_or_refuse,
    refuse_more_than_held,
    refuse_other_materials,
    refuse_other_than_tanks,
    whole_contents,
)
from inventory.models import Event, Location, Material
from inventory.services.checks import refuse_not_positive
from inventory.services.mixing import Mixture, mix
from inventory.services.posting import recording
from inventory.services.stock import Part


@once("filter_beer", returns=Event)
def filter_beer(
    *,
    from_vessel: Location,
    to_vessel: Location,
    contents_code: str,
    quantity_micro: int,
    loss_micro: int,
    aids: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
    unclean_reason: str = "",
) -> Event:
    """`quantity_micro` of filtered beer lies in the other tank as a new lot, which also bears the loss.

    The filter aid is linked as carryover: the beer met it, but is not made of it. A tank that was not cleaned takes
    `unclean_reason`, and what lay there last is linked as carryover too. Raises VesselEmpty, MoreThanTheTankHolds,
    WrongMaterial, WrongPlace, VesselOccupied, and the refusals of the ledger.
    """
    refuse_not_positive(quantity_micro, "quantity", "L")
    for aid in aids:
        refuse_other_materials(aid.lot, (Material.Kind.FILTER_AID,), "a filter aid", "aids")
    beer = contents_or_refuse(from_vessel)
    refuse_other_than_tanks(to_vessel)
    with recording(
        Event.Kind.FILTER,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[beer, *(aid.lot for aid in aids)],
        override_reason=override_reason,
        unclean_reason=unclean_reason,
    ) as record:
        contents = whole_contents(record, record.lot(beer), from_vessel)
        goes = quantity_micro + loss_micro
        refuse_more_than_held(contents, goes)
        filtered = Mixture(
            contents_code,
            contents.lot.material,
            quantity_micro,
            to_vessel,
            loss_micro=loss_micro,
            generation=contents.lot.generation,
        )
        mix(record, [Part(contents.lot, from_vessel, goes)], filtered, carried_over=aids)
    return record.event
