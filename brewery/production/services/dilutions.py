"""Dilution: deaerated liquor comes in beside the beer of a tank, and the volume grows by it."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.additions import add_parts
from brewery.production.services.tanks import refuse_other_materials
from inventory.models import Event, Location, Material
from inventory.services.checks import refuse_not_positive
from inventory.services.stock import Part


@once("dilute", returns=Event)
def dilute(
    *,
    vessel: Location,
    liquor: Part,
    contents_code: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
) -> Event:
    """The tank holds a new lot of its contents and the liquor, of the sum of both volumes.

    The sum is the book's: what the tank really holds, a gauge says. Raises WrongMaterial for what is no water,
    InvalidInput, VesselEmpty, WrongPlace, OverCapacity, and the refusals of the ledger.
    """
    refuse_not_positive(liquor.quantity_micro, "quantity", "L")
    refuse_other_materials(liquor.lot, (Material.Kind.WATER,), "water")
    return add_parts(
        vessel,
        contents_code,
        [liquor],
        grows_by_micro=liquor.quantity_micro,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        override_reason=override_reason,
    )
