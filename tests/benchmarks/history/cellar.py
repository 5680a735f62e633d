"""The cellar: beers meet, yeast is harvested, and beer is racked into bright tanks."""

from collections.abc import Iterator, Sequence

from tests.benchmarks.history.book import CARRYOVER, CULTURE, Part
from tests.benchmarks.history.plant import KG, STRAINS, Open, Plant


def blend(
    plant: Plant, kind: str, tank: int, material: int, added: Sequence[Part], *, gain: bool = True
) -> Iterator[None]:
    """What is added and what the tank holds become its new contents, larger by what was added where it is beer."""
    volume = plant.held(tank)
    plant.book.event(kind)
    made = volume + (sum(quantity for _, _, quantity in added) if gain else 0)
    plant.contents[tank] = plant.book.mix(material, [(plant.contents[tank], tank, volume), *added], tank, made)
    yield


def rack(plant: Plant, tank: int, bright: int) -> Iterator[None]:
    """The tank gives yeast, takes kraeusen, and goes into a bright tank."""
    recipe, yeast = plant.brewed.pop(tank)
    if yeast.generation < 10 and plant.random.random() < plant.rates.harvest:
        yield from harvest(plant, tank, recipe, yeast)
    if plant.random.random() < plant.rates.kraeusen:
        young = plant.fermenters[plant.fermenters.index(tank) - 1]
        beer: list[Part] = [(plant.contents[young], young, plant.held(young) // 10)]
        yield from blend(plant, "kraeusen", tank, plant.beers[recipe], beer)
    volume, loss = plant.held(tank), plant.held(tank) // 100
    if bright in plant.contents:
        poured: list[Part] = [(plant.contents[tank], tank, volume - loss)]
        yield from blend(plant, "blend", bright, plant.beers[recipe], poured)
        plant.book.event("destroy", "bottoms")
        plant.book.post(plant.contents[tank], tank, "destroyed", loss)
    else:
        plant.book.event("transfer")
        plant.book.post(plant.contents[tank], tank, bright, volume - loss)
        plant.book.post(plant.contents[tank], tank, "loss", loss)
        plant.contents[bright] = plant.contents[tank]
    del plant.contents[tank]
    yield


def harvest(plant: Plant, tank: int, recipe: int, mother: Open) -> Iterator[None]:
    """Yeast one generation older than what was pitched, with some beer carried over."""
    beer, quantity, strain = plant.held(tank) // 50, 400 * KG, plant.strains[recipe % STRAINS]
    old = plant.in_store[strain]
    if left := plant.book.lying(old.lot, plant.yeast_room):
        plant.book.event("destroy")
        plant.book.post(old.lot, plant.yeast_room, "destroyed", left)
        yield
    plant.book.event("harvest")
    daughter = Open(plant.book.lot(strain, quantity, generation=mother.generation + 1), mother.generation + 1)
    plant.book.post(plant.contents[tank], tank, "transformed", beer)
    plant.book.link(plant.contents[tank], daughter.lot, beer, CARRYOVER)
    plant.book.link(mother.lot, daughter.lot, 0, CULTURE)
    plant.book.post(daughter.lot, "transformed", plant.yeast_room, quantity)
    plant.in_store[strain] = daughter
    yield
