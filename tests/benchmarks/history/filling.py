"""The filling lines and the dispatch: beer becomes packaged lots, which go to customers."""

from collections.abc import Iterator

from tests.benchmarks.history.book import Part
from tests.benchmarks.history.plant import EACH, LITRE, Plant
from tests.benchmarks.history.stores import stocked


def package_all(plant: Plant, bright: int, recipe: int) -> Iterator[None]:
    """Two or three runs empty the bright tank, but for a heel that the next beer is blended into."""
    runs = plant.random.choice((2, 2, 3))
    heel = plant.held(bright) // 8 if plant.random.random() < plant.rates.blend else 0
    each = (plant.held(bright) - heel) // runs
    for _ in range(runs):
        yield from package(plant, bright, recipe, each)
        yield from ship(plant)
    if not heel:
        if left := plant.held(bright):
            plant.book.event("destroy", "bottoms")
            plant.book.post(plant.contents[bright], bright, "destroyed", left)
            yield
        del plant.contents[bright]


def package(plant: Plant, bright: int, recipe: int, volume: int) -> Iterator[None]:
    """Bottles, crowns and labels, or kegs and caps, are drawn, and hold the beer."""
    plant.runs += 1
    in_kegs = plant.random.random() < 0.4
    each, material = (50 * LITRE, plant.kegged[recipe]) if in_kegs else (LITRE // 2, plant.bottled[recipe])
    number = int(volume * 0.99) // each
    place = plant.book.work("production_packagingrun", f"R{plant.runs}", plant.beers[recipe])
    parts = []
    for stuff in plant.packaging[3:] if in_kegs else plant.packaging[:3]:
        yield from stocked(plant, stuff, number * EACH, number * EACH * plant.random.randrange(30, 60))
        parts.append((plant.in_store[stuff].lot, number * EACH))
    plant.book.event("draw")
    for lot, quantity in parts:
        plant.book.post(lot, plant.store, place, quantity)
    yield
    plant.book.event("package", f"R{plant.runs}")
    beer = plant.contents[bright]
    filled: list[Part] = [(beer, bright, number * each)]
    filled += [(lot, place, quantity) for lot, quantity in parts]
    plant.shelf.append(plant.book.mix(material, filled, plant.dispatch, number * EACH))
    plant.book.post(beer, bright, "loss", volume - number * each)
    yield


def ship(plant: Plant) -> Iterator[None]:
    """The oldest packaged lots on the shelf go to one to three customers each; some stay."""
    if len(plant.shelf) < 40:
        return
    lot = plant.shelf.popleft()
    parts = plant.random.choice((1, 1, 2, 2, 3))
    share = plant.book.lying(lot, plant.dispatch) // EACH // parts * EACH
    stays = plant.random.random() < 0.2
    for customer in plant.random.sample(plant.customers, parts):
        plant.book.event("ship", f"S{plant.book.event_id}")
        quantity = share // 2 // EACH * EACH if stays else share
        if quantity:
            plant.book.post(lot, plant.dispatch, customer, quantity)
        yield
    if plant.random.random() < plant.rates.count and plant.book.lying(lot, plant.dispatch):
        plant.book.event("count")
        plant.book.post(lot, plant.dispatch, "count_difference", plant.book.lying(lot, plant.dispatch))
        yield
