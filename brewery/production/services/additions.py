"""Additions to a tank: dry hops, finings, salts, liquor. What the tank holds becomes a new lot."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.tanks import contents_or_refuse, highest_generation, whole_contents
from inventory.models import Event, Location
from inventory.services.checks import refuse_not_positive
from inventory.services.mixing import Mixture, mix
from inventory.services.posting import recording
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places


@once("add_to_tank", returns=Event)
def add_to_tank(
    *,
    vessel: Location,
    contents_code: str,
    additions: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    volume_after_micro: int | None = None,
    override_reason: str = "",
) -> Event:
    """The tank holds a new lot of its contents and the additions, of unchanged volume unless `volume_after_micro` says.

    What left the tank before has none of the additions in its history. Yeast among the additions is at work from now
    on: the generation of the new contents is the highest. Raises VesselEmpty, NothingToDo, WrongPlace,
    and the refusals of the ledger.
    """
    if volume_after_micro is not None:
        refuse_not_positive(volume_after_micro, "volume_after", "L")
    return add_parts(
        vessel,
        contents_code,
        additions,
        volume_after_micro=volume_after_micro,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        override_reason=override_reason,
    )


def add_parts(
    vessel: Location,
    contents_code: str,
    additions: Sequence[Part],
    *,
    actor: User,
    request_id: UUID,
    happened_at: datetime,
    volume_after_micro: int | None = None,
    grows_by_micro: int = 0,
    override_reason: str = "",
) -> Event:
    """As `add_to_tank`, within the caller's transaction and request; the volume may also grow by something."""
    refuse_no_lines(additions, "The addition")
    for part in additions:
        refuse_other_places(part.location, Location.STOCK, "store, silo or brink")
    held = contents_or_refuse(vessel)
    with recording(
        Event.Kind.ADD,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[held, *(part.lot for part in additions)],
        override_reason=override_reason,
    ) as record:
        contents = whole_contents(record, record.lot(held), vessel)
        volume = volume_after_micro or contents.quantity_micro + grows_by_micro
        generation = highest_generation(contents.lot, *(part.lot for part in additions))
        mix(
            record,
            [contents, *additions],
            Mixture(contents_code, contents.lot.material, volume, vessel, generation=generation),
        )
    return record.event
