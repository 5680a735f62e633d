"""Pitching: yeast goes into the wort, and the tank holds a new lot that ferments."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.fitness import refuse_unfit
from brewery.production.services.tanks import (
    BREWED,
    contents_or_refuse,
    highest_generation,
    refuse_other_materials,
    whole_contents,
)
from inventory.models import Event, Location, Material
from inventory.services.mixing import Mixture, mix
from inventory.services.posting import recording
from inventory.services.refusals import WrongMaterial
from inventory.services.stock import Part, refuse_no_lines


@once("pitch", returns=Event)
def pitch(
    *,
    vessel: Location,
    beer: Material,
    contents_code: str,
    yeasts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
) -> Event:
    """The tank holds `beer` under a new lot code, made of its wort and the yeasts; the volume is unchanged.

    The generation of the new contents is the highest among the yeasts and what was there. Raises VesselEmpty,
    WrongMaterial, NothingToDo, the refusals of `refuse_unfit` without an override, and those of the ledger.
    """
    refuse_no_lines(yeasts, "The pitch")
    if beer.kind != Material.Kind.BEER:
        raise WrongMaterial(lot=beer.name, kind=beer.get_kind_display(), wanted="a beer", field="beer")
    for part in yeasts:
        refuse_other_materials(part.lot, (Material.Kind.YEAST,), "yeast", "yeasts")
    if not override_reason:
        refuse_unfit(yeasts, happened_at)
    wort = contents_or_refuse(vessel)
    refuse_other_materials(wort, BREWED, "wort or beer", "vessel")
    with recording(
        Event.Kind.PITCH,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[wort, *(part.lot for part in yeasts)],
        override_reason=override_reason,
    ) as record:
        contents = whole_contents(record, record.lot(wort), vessel)
        generation = highest_generation(contents.lot, *(part.lot for part in yeasts))
        mix(
            record,
            [contents, *yeasts],
            Mixture(contents_code, beer, contents.quantity_micro, vessel, generation=generation),
        )
    return record.event
