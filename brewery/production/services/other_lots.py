"""Other lots: where a lot cannot be had, the refusal names the lots and places that can be taken instead."""

from collections.abc import Sequence
from datetime import datetime

from brewery.kernel.clock import brewery_day
from brewery.kernel.errors import DomainError
from brewery.production.services.draw_refusals import BestBeforeOver, StoredTooLong, ViabilityTooLow, YeastTooOld
from brewery.science.units import format_micro
from inventory.queries.proposals import propose
from inventory.services.refusals import LotNotReleased, LotReserved, NotEnoughThere
from inventory.services.stock import Part

_LOT_CANNOT_BE_HAD = (
    NotEnoughThere,
    LotNotReleased,
    LotReserved,
    BestBeforeOver,
    YeastTooOld,
    ViabilityTooLow,
    StoredTooLong,
)


def other_lots(refused: DomainError, parts: Sequence[Part], happened_at: datetime) -> str:
    """Return a sentence that says what can be taken instead of the lot that was refused, or nothing to say."""
    code = str(refused.facts.get("lot", "")) if isinstance(refused, _LOT_CANNOT_BE_HAD) else ""
    part = next((part for part in parts if part.lot.code == code), None)
    if part is None:
        return ""
    material, unit = part.lot.material, part.lot.material.base_unit
    asked = sum(one.quantity_micro for one in parts if one.lot.pk == part.lot.pk)
    proposal = propose(material, asked, today=brewery_day(), use_on=brewery_day(happened_at))
    lines = [line for line in proposal.lines if line.lot.pk != part.lot.pk or isinstance(refused, NotEnoughThere)]
    if not lines:
        return f"No other lot of {material.name} is free."
    told = " and ".join(
        f"{format_micro(line.quantity_micro, unit)} {unit} of lot {line.lot.code} in {line.location}" for line in lines
    )
    missing = asked - sum(line.quantity_micro for line in lines)
    rest = f"; {format_micro(missing, unit)} {unit} of it are missing" if missing > 0 else ""
    return f"Free instead: {told}{rest}."
