"""Discards: yeast that is poured away by those who work the cellar."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.tanks import refuse_other_materials
from inventory.models import Event, Location, Lot, Material
from inventory.services.disposals import write_destruction
from inventory.services.stock import refuse_other_places


@once("discard_yeast", returns=Event)
def discard_yeast(
    *,
    lot: Lot,
    location: Location,
    quantity_micro: int,
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
) -> Event:
    """So much of the yeast is destroyed, and why; nothing else may be destroyed so.

    Raises WrongMaterial, WrongPlace, ReasonMissing, and the refusals of the ledger.
    """
    refuse_other_materials(lot, (Material.Kind.YEAST,), "yeast")
    refuse_other_places(location, Location.STOCK, "store or brink")
    return write_destruction(
        lot=lot,
        location=location,
        quantity_micro=quantity_micro,
        reason=reason,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
    )
