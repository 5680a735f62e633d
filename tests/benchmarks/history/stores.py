"""What comes in: malt into silos, hops, yeast and packaging material into the store."""

from collections.abc import Iterator

from tests.benchmarks.history.book import Part
from tests.benchmarks.history.plant import KG, MALTS, Open, Plant


def receive(plant: Plant, material: int, quantity: int, place: int, generation: int | None = None) -> int:
    """A delivery of one lot into a store."""
    party, origin = plant.random.choice(plant.suppliers)
    plant.book.event("receive", f"N{plant.book.event_id}")
    lot = plant.book.lot(material, quantity, supplier=party, generation=generation)
    plant.book.post(lot, origin, place, quantity)
    return lot


def stocked(plant: Plant, material: int, needed: int, delivery: int) -> Iterator[None]:
    """At least `needed` of the material lies open in the store; what was left over of the old lot is used up."""
    lot = plant.in_store.get(material)
    if lot and plant.book.lying(lot.lot, plant.store) >= needed:
        return
    if lot and (left := plant.book.lying(lot.lot, plant.store)):
        lost = plant.random.random() < 0.5
        plant.book.event("count" if lost else "destroy")
        plant.book.post(lot.lot, plant.store, "count_difference" if lost else "destroyed", left)
        yield
    plant.in_store[material] = Open(receive(plant, material, delivery, plant.store))
    yield


def refill(plant: Plant, silo: int, material: int) -> Iterator[None]:
    """A lorry for a silo that runs low: on top of its heel, unless it was cleaned out."""
    if silo in plant.contents and plant.random.random() < plant.rates.clean_out:
        plant.book.event("destroy", "clean-out")
        plant.book.post(plant.contents[silo], silo, "destroyed", plant.held(silo))
        del plant.contents[silo]
        yield
    elif silo in plant.contents and plant.random.random() < plant.rates.silo_to_silo:
        yield from move_between_silos(plant, silo, material)
    quantity = plant.random.randrange(7_000, 9_000) * KG
    if silo not in plant.contents:
        plant.contents[silo] = receive(plant, material, quantity, silo)
        yield
        return
    party, origin = plant.random.choice(plant.suppliers)
    plant.book.event("receive", f"N{plant.book.event_id}")
    lot = plant.book.lot(material, quantity, supplier=party)
    heel = plant.held(silo)
    parts: list[Part] = [(plant.contents[silo], silo, heel), (lot, origin, quantity)]
    plant.contents[silo] = plant.book.mix(material, parts, silo, heel + quantity)
    yield


def move_between_silos(plant: Plant, silo: int, material: int) -> Iterator[None]:
    """A third of another silo of the same malt goes into this one, which is not empty."""
    others = [other for other in plant.silos[plant.silos.index(silo) % MALTS :: MALTS] if other != silo]
    other = plant.random.choice(others)
    if quantity := plant.held(other) // 3:
        plant.book.event("refill")
        heel = plant.held(silo)
        parts: list[Part] = [
            (plant.contents[silo], silo, heel),
            (plant.contents[other], other, quantity),
        ]
        plant.contents[silo] = plant.book.mix(material, parts, silo, heel + quantity)
        yield
