"""Making one lot of several: the parts go, the mixture lies where they met, and each is linked to it."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Link, Location, Lot, Material
from inventory.queries.contacts import residues_at
from inventory.services.posting import LotFacts, Recording
from inventory.services.registers import boundary
from inventory.services.stock import Part


@dataclass(frozen=True)
class Mixture:
    """What a new lot is to be: its code, material, quantity, and where it lies."""

    code: str
    material: Material
    quantity_micro: int
    location: Location
    loss_micro: int = 0
    generation: int | None = None


def mix(record: Recording, parts: Sequence[Part], mixture: Mixture, *, carried_over: Sequence[Part] = ()) -> Lot:
    """Make the mixture of `parts` within an event and return it.

    Each part leaves its place for good and is linked as an ingredient, those of `carried_over` as carryover. What the
    step loses (`loss_micro`) belongs to the new lot and goes straight to loss.
    """
    transformed = boundary(Location.Kind.TRANSFORMED)
    total = mixture.quantity_micro + mixture.loss_micro
    lot = record.make(mixture.code, mixture.material, total, LotFacts(generation=mixture.generation))
    consume_all(record, parts, lot, transformed)
    for part in carried_over:
        consume(record, part, lot, transformed, kind=Link.Kind.CARRYOVER)
    record.post(lot, from_=transformed, to=mixture.location, quantity_micro=mixture.quantity_micro)
    if mixture.loss_micro:
        record.post(lot, from_=transformed, to=boundary(Location.Kind.LOSS), quantity_micro=mixture.loss_micro)
    return lot


def rehouse(record: Recording, part: Part, vessel: Location, code: str) -> Lot:
    """Within an event, the part lies in the vessel as a lot of its own, so that it alone carries what is met there.

    It is of the same material and generation, keeps as long, and may be used as far as the part might.
    """
    lot = record.lot(part.lot)
    facts = LotFacts(best_before=lot.best_before, generation=lot.generation, crop_year=lot.crop_year)
    transformed = boundary(Location.Kind.TRANSFORMED)
    own = record.make(code, lot.material, part.quantity_micro, facts)
    consume_all(record, [part], own, transformed)
    record.post(own, from_=transformed, to=vessel, quantity_micro=part.quantity_micro)
    own.disposition = lot.disposition
    own.save(update_fields=["disposition"])
    return own


def consume_all(record: Recording, parts: Sequence[Part], child: Lot, transformed: Location) -> None:
    """Turn the parts into `child`; what they met in a layered silo may have come with them, nobody knows how much."""
    for part in parts:
        consume(record, part, child, transformed)
    residues = residues_at({(part.lot.pk, part.location.pk) for part in parts})
    for neighbour in {lot.pk: lot for lots in residues.values() for lot in lots}.values():
        record.link(neighbour, child, quantity_micro=0, kind=Link.Kind.CARRYOVER)


def consume(
    record: Recording, part: Part, child: Lot, transformed: Location, kind: Link.Kind = Link.Kind.INGREDIENT
) -> None:
    """Turn a part into `child`: it leaves its place, and the link says how much went across."""
    lot = record.lot(part.lot)
    record.post(lot, from_=part.location, to=transformed, quantity_micro=part.quantity_micro)
    record.link(lot, child, quantity_micro=part.quantity_micro, kind=kind)
