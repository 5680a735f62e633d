"""Silos: what may go in on top of what is there, and what the mixture of a refilled one may be used for."""

from brewery.kernel.errors import InvalidInput
from inventory.models import Location, Lot, Material
from inventory.models.dispositions import strictest
from inventory.queries.contents import contents_of, lots_in
from inventory.services.mixing import Mixture, mix
from inventory.services.posting import Recording
from inventory.services.refusals import CrossContact
from inventory.services.stock import Part


def heel_of(place: Location) -> Lot | None:
    """Return the lot in a mixed silo that a refill would mix with, or None where nothing would mix."""
    return contents_of(place) if place.filling == Location.Filling.MIXED else None


def refill(record: Recording, heel: Lot, part: Part, silo: Location, contents_code: str) -> Lot:
    """Within an event, the silo holds one new lot of its heel and of the part that came in on top.

    The new contents may be used only as far as the strictest of the two. Raises InvalidInput without a code.
    """
    if not contents_code:
        raise InvalidInput(
            field="contents_code",
            value="",
            problem=f"{silo} still holds lot {heel.code}: give the code of the mixed contents.",
        )
    left = record.held_micro(heel, silo)
    mixture = Mixture(contents_code, heel.material, left + part.quantity_micro, silo)
    mixed = mix(record, [Part(heel, silo, left), part], mixture)
    mixed.disposition = strictest(record.lot(heel).disposition, record.lot(part.lot).disposition)
    mixed.save(update_fields=["disposition"])
    return mixed


def refuse_cross_contact(silo: Location, material: Material) -> None:
    """Raise CrossContact where the silo holds another material."""
    if silo.kind != Location.Kind.SILO:
        return
    for lot, _ in lots_in(silo):
        if lot.material_id != material.pk:
            raise CrossContact(location=silo, held=lot.material, held_lot=lot.code, comes=material, field="location")
