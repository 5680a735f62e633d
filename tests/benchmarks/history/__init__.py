"""A made-up brewery's years: deliveries, silos, brews, tanks, yeast, packaging and shipments, the same each time.

A history grows event by event from one seed, so a shorter one is the beginning of a longer one: the same lots, the same
links, the same ids. Quantities conserve, so every mass balance closes.
"""

from collections.abc import Iterator

from tests.benchmarks.history.book import COLUMNS, Book
from tests.benchmarks.history.brewhouse import fill
from tests.benchmarks.history.cellar import rack
from tests.benchmarks.history.filling import package_all
from tests.benchmarks.history.plant import BEERS, BRIGHT_TANKS, FERMENTERS, ORDINARY, RECONVERGENT, Plant, Rates

__all__ = ["COLUMNS", "ORDINARY", "RECONVERGENT", "Book", "Rates", "write"]


def write(book: Book, links: int, rates: Rates = ORDINARY) -> Iterator[None]:
    """Write events into the book until it holds that many links, yielding after each."""
    for _ in _events(Plant(book, rates)):
        yield
        if book.links >= links:
            return


def _events(plant: Plant) -> Iterator[None]:
    """Each tank in turn is racked, packaged and brewed into again, round and round."""
    turn = 0
    while True:
        tank, bright = plant.fermenters[turn % FERMENTERS], plant.bright_tanks[turn % BRIGHT_TANKS]
        recipe = turn % BEERS
        if tank in plant.contents:
            yield from rack(plant, tank, bright)
            yield from package_all(plant, bright, recipe)
        yield from fill(plant, tank, recipe)
        turn += 1
