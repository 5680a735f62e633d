"""Propagation: a slope, a laboratory's pack or the step before grows in wort into more yeast of the same culture."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.fitness import refuse_unfit
from brewery.production.services.tanks import refuse_other_materials
from brewery.science.generations import FIRST
from inventory.models import Event, Link, Location, Lot, Material
from inventory.services.checks import refuse_not_positive
from inventory.services.mixing import consume_all
from inventory.services.posting import LotFacts, recording
from inventory.services.registers import boundary
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places

MEDIUM = (Material.Kind.WORT, Material.Kind.MALT, Material.Kind.ADJUNCT, Material.Kind.WATER, Material.Kind.SALT)
"""What yeast grows in: wort, or extract, liquor and nutrients."""


class NoOrigin(DomainError):
    code = "no_origin"
    title = "A propagation does not begin with it."
    template = "Lot {lot} is of generation {generation}: a propagation begins with a slope, a pack or a step before."
    advice = "Take yeast that was not yet cropped: grown on, a crop stays as old as it is."


@once("propagate_yeast", returns=Event)
def propagate_yeast(
    *,
    mother: Part,
    medium: Sequence[Part],
    yeast_code: str,
    yeast_micro: int,
    location: Location,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    unclean_reason: str = "",
    override_reason: str = "",
) -> Event:
    """One step: a new yeast lot lies in its store or brink, grown of the mother in the medium; both are used up.

    It is of generation 1: a propagated culture, pitched first, is the first. The mother is linked to it as its culture
    and, with what went in, as an ingredient, as the medium is. Raises NoOrigin for a crop, WrongMaterial, WrongPlace,
    NothingToDo without a medium, the refusals of `refuse_unfit` without an override, and those of the ledger.
    """
    _refuse_parts(mother, medium)
    refuse_not_positive(yeast_micro, "quantity", mother.lot.material.base_unit)
    refuse_other_places(location, (Location.Kind.STORE, Location.Kind.BRINK), "store or brink")
    if not override_reason:
        refuse_unfit([mother, *medium], happened_at)
    with recording(
        Event.Kind.PROPAGATE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[mother.lot, *(part.lot for part in medium)],
        override_reason=override_reason,
        unclean_reason=unclean_reason,
    ) as record:
        transformed = boundary(Location.Kind.TRANSFORMED)
        yeast: Lot = record.make(yeast_code, mother.lot.material, yeast_micro, LotFacts(generation=FIRST))
        consume_all(record, [mother, *medium], yeast, transformed)
        record.link(mother.lot, yeast, quantity_micro=0, kind=Link.Kind.CULTURE)
        record.post(yeast, from_=transformed, to=location, quantity_micro=yeast_micro)
    return record.event


def _refuse_parts(mother: Part, medium: Sequence[Part]) -> None:
    refuse_other_materials(mother.lot, (Material.Kind.YEAST,), "yeast", "mother")
    refuse_other_places(mother.location, Location.STOCK, "store or brink")
    if mother.lot.generation is not None and mother.lot.generation > FIRST:
        raise NoOrigin(lot=mother.lot.code, generation=mother.lot.generation, field="mother")
    refuse_no_lines(medium, "The propagation")
    for part in medium:
        refuse_other_materials(part.lot, MEDIUM, "wort, malt, an adjunct, water or a salt", "medium")
        refuse_other_places(part.location, Location.ON_HAND, "tank, store or silo")
