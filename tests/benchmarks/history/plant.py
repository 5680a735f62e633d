"""The plant: its registers, its vessels and what they hold, and how often things happen."""

from collections import deque
from dataclasses import dataclass
from random import Random

from tests.benchmarks.history.book import Book

KG = LITRE = EACH = 1_000_000
SILOS, MALTS, SPECIALITIES, HOPS, STRAINS, BEERS = 24, 6, 10, 16, 5, 8
FERMENTERS, BRIGHT_TANKS, CUSTOMERS, SUPPLIERS = 48, 16, 200, 12
PACKAGING = ("bottle", "crown", "label", "keg", "keg cap")
BREW = 10_000 * LITRE


@dataclass(frozen=True)
class Rates:
    """How often things happen that make traces long or short."""

    clean_out: float = 0.08
    """of silo refills come after the silo was run empty and cleaned"""
    silo_to_silo: float = 0.03
    """of silo refills come with a move from another silo of the same malt into an occupied one"""
    kraeusen: float = 0.08
    """of tanks take young beer of another tank"""
    blend: float = 0.25
    """of bright tanks are refilled before they are empty"""
    harvest: float = 0.25
    """of tanks give yeast for the next brews, up to generation 10"""
    dry_hop: float = 0.4
    gauge: float = 0.05
    count: float = 0.02

    def __str__(self) -> str:
        return (
            f"clean-out {self.clean_out:.0%}, silo to silo {self.silo_to_silo:.0%}, kraeusen {self.kraeusen:.0%}, "
            f"blend {self.blend:.0%}, harvest {self.harvest:.0%}, dry hop {self.dry_hop:.0%}"
        )


ORDINARY = Rates()
RECONVERGENT = Rates(clean_out=0.04, silo_to_silo=0.10)


@dataclass
class Open:
    """A lot in a store that is used up before the next one of its material comes in."""

    lot: int
    generation: int = 1


class Plant:
    """What the brewery has, and what is in it at the moment."""

    def __init__(self, book: Book, rates: Rates, seed: int = 42):
        self.book, self.rates, self.random = book, rates, Random(seed)
        self.malts = [book.material(f"malt-{n}", "malt", "kg") for n in range(MALTS + SPECIALITIES)]
        self.hops = [book.material(f"hop-{n}", "hop", "kg") for n in range(HOPS)]
        self.strains = [book.material(f"yeast-{n}", "yeast", "kg") for n in range(STRAINS)]
        self.packaging = [book.material(name, "packaging", "each") for name in PACKAGING]
        self.worts = [book.material(f"wort-{n}", "wort", "L") for n in range(BEERS)]
        self.beers = [book.material(f"beer-{n}", "beer", "L") for n in range(BEERS)]
        self.bottled = [book.material(f"bottled-{n}", "packaged", "each", LITRE // 2) for n in range(BEERS)]
        self.kegged = [book.material(f"kegged-{n}", "packaged", "each", 50 * LITRE) for n in range(BEERS)]
        self.suppliers = [book.party(f"supplier-{n}", "supplier") for n in range(SUPPLIERS)]
        self.customers = [book.party(f"customer-{n}", "customer")[1] for n in range(CUSTOMERS)]
        self.store, self.yeast_room, self.dispatch = (
            book.location(name, "store") for name in ("store", "yeast-room", "dispatch")
        )
        self.silos = [book.location(f"silo-{n}", "silo", filling="mixed") for n in range(SILOS)]
        self.fermenters = [book.location(f"fermenter-{n}", "fermenter") for n in range(FERMENTERS)]
        self.bright_tanks = [book.location(f"bright-{n}", "bright_tank") for n in range(BRIGHT_TANKS)]
        self.contents: dict[int, int] = {}
        self.in_store: dict[int, Open] = {}
        self.brewed: dict[int, tuple[int, Open]] = {}
        self.shelf: deque[int] = deque()
        self.brews = self.runs = 0

    def held(self, place: int) -> int:
        """What the vessel's contents amount to."""
        return self.book.lying(self.contents[place], place) if place in self.contents else 0
