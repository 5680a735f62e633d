"""Tanks: what one holds while an event changes it, and what goes in beside what is there."""

from dataclasses import dataclass

from brewery.production.services.refusals import ContentsCodeMissing, MoreThanTheTankHolds
from brewery.science.generations import blend_generation
from inventory.models import Location, Lot, Material
from inventory.queries.contents import contents_of
from inventory.services.checks import shown
from inventory.services.posting import Recording
from inventory.services.refusals import VesselEmpty, WrongMaterial
from inventory.services.stock import Part, refuse_other_places


@dataclass(frozen=True)
class Fill:
    """A volume for a tank; `contents_code` names the new contents where the tank holds something already."""

    vessel: Location
    quantity_micro: int
    contents_code: str = ""


def refuse_other_than_tanks(*vessels: Location) -> None:
    """Raise WrongPlace unless every one is a fermenter or bright tank."""
    for vessel in vessels:
        refuse_other_places(vessel, Location.TANKS, "fermenter or bright tank", "vessel")


def contents_or_refuse(vessel: Location) -> Lot:
    """Return the lot in the tank. Raises WrongPlace, VesselEmpty."""
    refuse_other_than_tanks(vessel)
    lot = contents_of(vessel)
    if lot is None:
        raise VesselEmpty(location=vessel, field="vessel")
    return lot


def whole_contents(record: Recording, lot: Lot, vessel: Location) -> Part:
    """Return all that the tank holds of the locked lot. Raises VesselEmpty where it has gone meanwhile."""
    held = record.held_micro(lot, vessel)
    if not held:
        raise VesselEmpty(location=vessel, field="vessel")
    return Part(lot, vessel, held)


def refuse_more_than_held(part: Part, asked_micro: int) -> None:
    """Raise MoreThanTheTankHolds where an event asks for more than the whole contents."""
    if asked_micro > part.quantity_micro:
        raise MoreThanTheTankHolds(
            vessel=part.location,
            held=shown(part.quantity_micro, part.lot),
            lot=part.lot.code,
            asked=shown(asked_micro, part.lot),
            field="quantity",
        )


def code_for_new_contents(code: str, vessel: Location, held: Lot) -> str:
    """Return the code. Raises ContentsCodeMissing where none was given."""
    if not code:
        raise ContentsCodeMissing(vessel=vessel, held_lot=held.code, field="contents_code")
    return code


def refuse_other_materials(lot: Lot, kinds: tuple[str, ...], wanted: str, field: str = "lot") -> None:
    """Raise WrongMaterial unless the lot is of one of `kinds`."""
    if lot.material.kind not in kinds:
        raise WrongMaterial(lot=lot.code, kind=lot.material.get_kind_display(), wanted=wanted, field=field)


def highest_generation(*lots: Lot) -> int | None:
    """Return the highest generation of yeast among the lots: that of a blend of them."""
    generations = [lot.generation for lot in lots if lot.generation is not None]
    return blend_generation(generations) if generations else None


BREWED = (Material.Kind.WORT, Material.Kind.BEER)
