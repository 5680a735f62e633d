"""The beer itself, poured: a container physically holds parts of raw lots, and every pour takes some of all of them.

It knows neither links nor shares nor totals, only what is poured from where into what, and what is chalked on each
container. It understands the same verbs as the model of the record, so that one random history can be told to both.

What it takes to be so: what is in one container is mixed through; an emptied tank or brink that is not cleaned keeps a
film of its contents, which goes into whatever comes next; a silo run empty is empty, and one filled in layers, without
a band in which they meet, keeps them apart; harvested slurry carries beer and every yeast that lies in the tank; of a
filter aid some passes into the beer.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from tests.model import Drain, Part
from tests.telling import TANKS

KEPT_A_FILM = (*TANKS, "BRINK1")
VESSELS = (*KEPT_A_FILM, "SILO1")
FILM = Fraction(1, 1_000_000)

Matter = dict[tuple[str, bool], Fraction]
"""How much of each raw lot, and whether it came there only as a trace: as a film, in slurry, with a filter aid."""


def as_traces(matter: Matter, part: Fraction = Fraction(1)) -> Matter:
    """Return a part of the matter, all of it as traces."""
    traces: Matter = defaultdict(Fraction)
    for (raw, _), amount in matter.items():
        traces[raw, True] += amount * part
    return traces


@dataclass
class Pouring:
    """What is physically in every container; a container is a place and what is chalked on it."""

    held: Counter[tuple[str, str]] = field(default_factory=Counter)
    matter: defaultdict[tuple[str, str], Matter] = field(default_factory=lambda: defaultdict(dict))
    film: dict[str, Matter] = field(default_factory=dict)
    material: dict[str, str] = field(default_factory=dict)

    def contents(self, place: str) -> str | None:
        """What is chalked on a vessel that holds something."""
        lots = [lot for (lot, where), quantity in self.held.items() if where == place and quantity]
        return lots[0] if lots else None

    def containers(self) -> list[tuple[str, str, Matter]]:
        """Return every container that holds something: what is chalked on it, where it is, and what is in it."""
        return [(*key, self.matter[key]) for key, quantity in self.held.items() if quantity]

    # What happens

    def receive(self, lot: str, material: str, place: str, quantity: int, _generation: int | None = None) -> None:
        self.material[lot] = material
        self._into(lot, place, quantity, {(lot, False): Fraction(quantity)})

    def refill(self, lot: str, material: str, silo: str, quantity: int, contents: str) -> None:
        self.receive(lot, material, "lorry", quantity)
        self.pour(lot, "lorry", silo, quantity, contents)

    def pour(self, lot: str, origin: str, silo: str, quantity: int, contents: str) -> None:
        heel = self.contents(silo) or ""
        self.mix(contents, self.material[lot], [(heel, silo, self.held[heel, silo]), (lot, origin, quantity)], silo)

    def move(self, lot: str, origin: str, target: str, quantity: int) -> None:
        if quantity:
            self._into(lot, target, quantity, self._out(lot, origin, quantity))

    def mix(
        self,
        lot: str,
        material: str,
        parts: Sequence[Part],
        place: str,
        *,
        volume: int | None = None,
        loss: int = 0,
        carried: Sequence[Part] = (),
    ) -> None:
        """All is poured together in the place and chalked anew; then the loss runs out of it."""
        self.material[lot] = material
        together: Matter = defaultdict(Fraction)
        for part in parts:
            _add(together, self._out(part[0], part[1], part[2]))
        for part in carried:
            _add(together, as_traces(self._out(part[0], part[1], part[2])))
        lies = sum(quantity for _, _, quantity in parts) if volume is None else volume
        self._into(lot, place, lies + loss, together)
        self.move(lot, place, "loss", loss)

    def knock_out(self, brew: str, wort: str, fills: Sequence[tuple[str, int, str]], loss: int) -> None:
        drawn = [(lot, brew, quantity) for (lot, place), quantity in self.held.items() if place == brew and quantity]
        self.mix(wort, "WORT", drawn, "kettle", volume=sum(volume for _, volume, _ in fills), loss=loss)
        for tank, volume, code in fills:
            heel = self.contents(tank)
            parts = [(heel, tank, self.held[heel, tank])] if heel else []
            if code:
                material = self.material[heel] if heel else "WORT"
                self.mix(code, material, [*parts, (wort, "kettle", volume)], tank)
            else:
                self.move(wort, "kettle", tank, volume)

    def harvest(self, tank: str, beer: int, yeast: str, quantity: int, place: str) -> None:
        """Slurry: some beer with all that is in it, and half of each yeast that has settled."""
        contents = self.contents(tank) or ""
        self.material[yeast] = "YEAST"
        slurry = as_traces(self._out(contents, tank, beer))
        left = self.matter[contents, tank]
        for (raw, is_trace), amount in list(left.items()):
            if self.material[raw] == "YEAST":
                left[raw, is_trace] -= amount / 2
                slurry[raw, True] += amount / 2
        self._into(yeast, place, quantity, slurry)

    def package(self, run: str, tank: str, lot: str, material: str, count: int, each: int, loss: int) -> None:
        drawn = [(part, run, quantity) for (part, place), quantity in self.held.items() if place == run and quantity]
        self.fill(lot, material, count, [(tank, count * each + loss, count * each)], drawn, [])

    def fill(
        self, lot: str, material: str, count: int, drains: Sequence[Drain], used: Sequence[Part], wasted: Sequence[Part]
    ) -> None:
        beers = [(self.contents(tank) or "", tank, left, packed) for tank, left, packed in drains]
        filled = [(beer, tank, packed) for beer, tank, _, packed in beers if packed]
        self.mix(lot, material, [*filled, *used], "COLD", volume=count * 1_000_000)
        for beer, tank, left, packed in beers:
            self.move(beer, tank, "loss", left - packed)
        for part, run, quantity in wasted:
            self.move(part, run, "loss", quantity)

    def count(self, lot: str, place: str, difference: int) -> None:
        """The gauge reads otherwise; what is in the container is what it was, unless nothing is there."""
        self.held[lot, place] += difference
        self._leave_a_film(lot, place)

    def clean(self, vessel: str) -> None:
        self.film.pop(vessel, None)

    def residue(self, _vessel: str, _comes: str) -> None:
        """Nothing is looked up: a film goes along by itself."""

    def meet(self, _residue: str | None, _lot: str) -> None:
        """Nothing is written down."""

    def _out(self, lot: str, place: str, quantity: int) -> Matter:
        matter, part = self.matter[lot, place], Fraction(quantity, self.held[lot, place])
        taken = {key: amount * part for key, amount in matter.items()}
        self.matter[lot, place] = {key: amount - taken[key] for key, amount in matter.items()}
        self.held[lot, place] -= quantity
        if not self.held[lot, place]:
            self.matter[lot, place] = matter
            self._leave_a_film(lot, place)
        return taken

    def _leave_a_film(self, lot: str, place: str) -> None:
        if self.held[lot, place]:
            return
        if place in KEPT_A_FILM:
            self.film[place] = as_traces(self.matter[lot, place], FILM)
        del self.matter[lot, place]

    def _into(self, lot: str, place: str, quantity: int, comes: Matter) -> None:
        there: Matter = defaultdict(Fraction, self.matter[lot, place])
        _add(there, comes)
        _add(there, self.film.pop(place, {}))
        self.matter[lot, place] = there
        self.held[lot, place] += quantity
        assert place not in VESSELS or self.contents(place) == lot, (lot, place)


def _add(there: Matter, comes: Matter) -> None:
    for key, amount in comes.items():
        there[key] = there.get(key, Fraction()) + amount
