"""The brewhouse: what is drawn becomes wort in a tank, and yeast makes beer of it."""

from collections.abc import Iterator

from tests.benchmarks.history.book import Part
from tests.benchmarks.history.cellar import blend
from tests.benchmarks.history.plant import BREW, KG, LITRE, MALTS, SILOS, STRAINS, Open, Plant
from tests.benchmarks.history.stores import receive, refill, stocked


def brew(plant: Plant, tank: int, recipe: int) -> Iterator[None]:
    """Malt and hops are drawn, and become wort in the tank; in an occupied tank, a blend with what it holds."""
    plant.brews += 1
    place = plant.book.work("production_brew", f"B{plant.brews}", plant.beers[recipe])
    parts: list[tuple[int, int, int]] = []
    for kind in plant.random.sample(range(MALTS), plant.random.choice((1, 2, 2, 3))):
        silo = plant.silos[kind + MALTS * plant.random.randrange(SILOS // MALTS)]
        quantity = plant.random.randrange(500, 1_000) * KG
        if plant.held(silo) < quantity + 1_500 * KG:
            yield from refill(plant, silo, plant.malts[kind])
        parts.append((plant.contents[silo], silo, quantity))
    few = plant.random.sample(plant.malts[MALTS:], plant.random.choice((0, 1, 1, 2)))
    some = plant.random.sample(plant.hops, plant.random.choice((1, 2, 2, 3)))
    for material, quantity, delivery in [
        *((malt, plant.random.randrange(20, 120) * KG, 2_000 * KG) for malt in few),
        *((hop, plant.random.randrange(2, 12) * KG, 250 * KG) for hop in some),
    ]:
        yield from stocked(plant, material, quantity, delivery)
        parts.append((plant.in_store[material].lot, plant.store, quantity))
    plant.book.event("draw")
    for lot, origin, quantity in parts:
        plant.book.post(lot, origin, place, quantity)
    yield
    occupied = tank in plant.contents
    plant.book.event("knock_out", f"B{plant.brews}")
    drawn: list[Part] = [(lot, place, quantity) for lot, _, quantity in parts]
    made = BREW - plant.random.randrange(500) * LITRE
    wort = plant.book.mix(plant.worts[recipe], drawn, place if occupied else tank, made, loss=100 * LITRE)
    yield
    if occupied:
        fresh: list[Part] = [(wort, place, made - 100 * LITRE)]
        yield from blend(plant, "blend", tank, plant.beers[recipe], fresh)
    else:
        plant.contents[tank] = wort


def fill(plant: Plant, tank: int, recipe: int) -> Iterator[None]:
    """One to four brews go into an empty tank, pitched after the first; some tanks are dry hopped or gauged."""
    yield from brew(plant, tank, recipe)
    yield from pitch(plant, tank, recipe)
    for _ in range(plant.random.choice((0, 0, 0, 1, 1, 1, 2, 3))):
        yield from brew(plant, tank, recipe)
    if plant.random.random() < plant.rates.dry_hop:
        hop, quantity = plant.random.choice(plant.hops), 20 * KG
        yield from stocked(plant, hop, quantity, 250 * KG)
        added: list[Part] = [(plant.in_store[hop].lot, plant.store, quantity)]
        yield from blend(plant, "add", tank, plant.beers[recipe], added, gain=False)
    if plant.random.random() < plant.rates.gauge:
        plant.book.event("count")
        found = plant.random.choice((("count_difference", tank), (tank, "count_difference")))
        plant.book.post(plant.contents[tank], *found, plant.held(tank) // 200)
        yield


def pitch(plant: Plant, tank: int, recipe: int) -> Iterator[None]:
    """Yeast, harvested where there is some, makes beer of the wort."""
    strain, quantity = plant.strains[recipe % STRAINS], 100 * KG
    yeast = plant.in_store.get(strain)
    if not yeast or plant.book.lying(yeast.lot, plant.yeast_room) < quantity:
        if yeast and (left := plant.book.lying(yeast.lot, plant.yeast_room)):
            plant.book.event("destroy")
            plant.book.post(yeast.lot, plant.yeast_room, "destroyed", left)
            yield
        yeast = plant.in_store[strain] = Open(receive(plant, strain, 400 * KG, plant.yeast_room, 1))
        yield
    pitched: list[Part] = [(yeast.lot, plant.yeast_room, quantity)]
    yield from blend(plant, "pitch", tank, plant.beers[recipe], pitched, gain=False)
    plant.brewed[tank] = (recipe, yeast)
