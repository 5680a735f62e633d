"""Packaging: beer from a tank and all that was drawn for the run become one packaged lot."""

from datetime import date, datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import PackagingRun
from brewery.production.services.tanks import contents_or_refuse, refuse_more_than_held, whole_contents
from brewery.production.services.work import drawn_parts, refuse_finished
from brewery.science.units import MICRO
from inventory.models import Event, Location, Material
from inventory.services.checks import refuse_not_positive
from inventory.services.mixing import consume
from inventory.services.posting import LotFacts, recording
from inventory.services.refusals import WrongMaterial
from inventory.services.registers import boundary
from inventory.services.stock import Part, refuse_other_places


@once("package", returns=Event)
def package(
    *,
    run: PackagingRun,
    vessel: Location,
    material: Material,
    packaged_code: str,
    count: int,
    loss_micro: int,
    location: Location,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    best_before: date | None = None,
    override_reason: str = "",
) -> Event:
    """`count` of the packaged material lie in the store, made of the beer filled and of all that the run had drawn.

    The beer filled is the count times what one holds; `loss_micro` of beer leaves the tank besides. Raises
    AlreadyPackaged, NothingDrawn, VesselEmpty, MoreThanTheTankHolds, WrongMaterial, WrongPlace, and the refusals of
    the ledger.
    """
    refuse_finished(run)
    refuse_not_positive(count * MICRO, "count", "each")
    refuse_other_places(location, (Location.Kind.STORE,), "store")
    if material.kind != Material.Kind.PACKAGED or material.contents_micro is None:
        raise WrongMaterial(
            lot=material.name, kind=material.get_kind_display(), wanted="packaged beer", field="material"
        )
    parts = drawn_parts(run)
    beer = contents_or_refuse(vessel)
    filled = count * material.contents_micro
    transformed = boundary(Location.Kind.TRANSFORMED)
    with recording(
        Event.Kind.PACKAGE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=run.code,
        uses=[beer, *(part.lot for part in parts)],
        override_reason=override_reason,
    ) as record:
        refuse_more_than_held(whole_contents(record, record.lot(beer), vessel), filled + loss_micro)
        packaged = record.make(packaged_code, material, count * MICRO, LotFacts(best_before=best_before))
        for part in [Part(beer, vessel, filled), *parts]:
            consume(record, part, packaged, transformed)
        if loss_micro:
            record.post(record.lot(beer), from_=vessel, to=boundary(Location.Kind.LOSS), quantity_micro=loss_micro)
        record.post(packaged, from_=transformed, to=location, quantity_micro=count * MICRO)
    return record.event
