"""The record as plain dictionaries: slow, obvious, and written from the rules of the trade, not from the program.

It keeps what lies where, what was made of what, and what counts found, in whole micro-units; shares are exact.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

Part = tuple[str, str, int]
"""A lot, the place it is taken from, and how much."""

Drain = tuple[str, int, int]
"""A tank that a fill drained, what left it, and what of that is in the packages."""

Linked = tuple[str, str, str, int]
"""Parent, child, kind, and how much of the parent went across."""


@dataclass
class Model:
    """One brewery's record."""

    held: Counter[tuple[str, str]] = field(default_factory=Counter)
    made: dict[str, int] = field(default_factory=dict)
    counted: Counter[str] = field(default_factory=Counter)
    links: list[Linked] = field(default_factory=list)
    generation: dict[str, int] = field(default_factory=dict)
    material: dict[str, str] = field(default_factory=dict)
    left: dict[str, str] = field(default_factory=dict)

    # What happens

    def clean(self, vessel: str) -> None:
        """Nothing of what lay there last is left."""
        assert self.contents(vessel) is None
        self.left.pop(vessel, None)

    def residue(self, vessel: str, comes: str) -> str | None:
        """What lay last in an empty vessel that was not cleaned since, if it is another lot than comes."""
        lay = self.left.get(vessel)
        return None if lay == comes or self.contents(vessel) else lay

    def meet(self, residue: str | None, lot: str) -> None:
        """The lot takes up a residue that nobody could weigh."""
        if residue:
            self.links.append((residue, lot, "carryover", 0))

    def receive(self, lot: str, material: str, place: str, quantity: int, generation: int | None = None) -> None:
        self._make(lot, material, quantity, generation)
        self.held[lot, place] += quantity

    def refill(self, lot: str, material: str, silo: str, quantity: int, contents: str) -> None:
        """A delivery into a mixed silo that still held something."""
        self._make(lot, material, quantity, None)
        self.held[lot, "lorry"] += quantity
        self.pour(lot, "lorry", silo, quantity, contents)

    def pour(self, lot: str, origin: str, silo: str, quantity: int, contents: str) -> None:
        """Some of a lot goes on top of what a mixed silo still held."""
        heel = self.contents(silo)
        assert heel is not None
        self.mix(contents, self.material[lot], [(heel, silo, self.held[heel, silo]), (lot, origin, quantity)], silo)

    def move(self, lot: str, origin: str, target: str, quantity: int) -> None:
        self._take(lot, origin, quantity)
        self.held[lot, target] += quantity

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
        """Parts become one lot that lies in the place, less the loss; without a volume, that of the parts."""
        lies = sum(quantity for _, _, quantity in parts) if volume is None else volume
        generations = [self.generation[parent] for parent, _, _ in parts if parent in self.generation]
        self._make(lot, material, lies + loss, max(generations, default=None))
        for kind, some in (("ingredient", parts), ("carryover", carried)):
            for parent, origin, quantity in some:
                self._take(parent, origin, quantity)
                self._link(parent, lot, kind, quantity)
        self.held[lot, place] += lies
        self.held[lot, "loss"] += loss

    def knock_out(self, brew: str, wort: str, fills: Sequence[tuple[str, int, str]], loss: int) -> None:
        """All that lies in the brew becomes wort; in an occupied tank it becomes part of new contents.

        In an uncleaned one it takes up the residue, under a code of its own where other tanks are filled too.
        """
        drawn = [(lot, brew, quantity) for (lot, place), quantity in self.held.items() if place == brew and quantity]
        self.mix(wort, "WORT", drawn, "kettle", volume=sum(volume for _, volume, _ in fills), loss=loss)
        for tank, volume, contents in fills:
            held, residue = self.contents(tank), self.residue(tank, wort)
            if held is None and contents:
                self.mix(contents, "WORT", [(wort, "kettle", volume)], tank)
                self.meet(residue, contents)
            elif held is None:
                self.move(wort, "kettle", tank, volume)
                self.meet(residue, wort)
            else:
                parts = [(held, tank, self.held[held, tank]), (wort, "kettle", volume)]
                self.mix(contents, self.material[held], parts, tank)

    def harvest(self, tank: str, beer: int, yeast: str, quantity: int, place: str) -> None:
        contents = self.contents(tank)
        assert contents is not None
        self._make(yeast, "YEAST", quantity, self.generation[contents] + 1)
        self._take(contents, tank, beer)
        self.links.append((contents, yeast, "carryover", beer))
        for mother in self.yeasts_at_work(contents):
            self.links.append((mother, yeast, "culture", 0))
        self.held[yeast, place] += quantity

    def package(self, run: str, tank: str, lot: str, material: str, count: int, each: int, loss: int) -> None:
        contents = self.contents(tank)
        assert contents is not None
        drawn = [(part, run, quantity) for (part, place), quantity in self.held.items() if place == run and quantity]
        self.mix(lot, material, [(contents, tank, count * each), *drawn], "COLD", volume=count * 1_000_000)
        self.generation.pop(lot, None)
        self._take(contents, tank, loss)
        self.held[contents, "loss"] += loss

    def fill(
        self, lot: str, material: str, count: int, drains: Sequence[Drain], used: Sequence[Part], wasted: Sequence[Part]
    ) -> None:
        """Tanks are drained into one packaged lot; the packages hold of what left each in proportion to it.

        What left a tank and is in no package is lost, and so are wasted materials of the run.
        """
        beers = [self.contents(tank) or "" for tank, _, _ in drains]
        in_it = [(beer, tank, packed) for beer, (tank, _, packed) in zip(beers, drains, strict=True) if packed]
        self.mix(lot, material, [*in_it, *used], "COLD", volume=count * 1_000_000)
        self.generation.pop(lot, None)
        for beer, (tank, left, packed) in zip(beers, drains, strict=True):
            self.move(beer, tank, "loss", left - packed)
        for part, run, quantity in wasted:
            self.move(part, run, "loss", quantity)

    def count(self, lot: str, place: str, difference: int) -> None:
        self.counted[lot] += difference
        self._take(lot, place, -difference)

    # What is asked

    def contents(self, place: str) -> str | None:
        """The one lot in a vessel."""
        lots = [lot for (lot, where), quantity in self.held.items() if where == place and quantity]
        return lots[0] if lots else None

    def lying(self) -> dict[tuple[str, str], int]:
        """What lies where, nothing left out and nothing that is nothing."""
        return {key: quantity for key, quantity in self.held.items() if quantity}

    def total(self, lot: str) -> int:
        """What there ever was of a lot."""
        return self.made[lot] + max(0, self.counted[lot])

    def yeasts_at_work(self, contents: str) -> set[str]:
        """The yeasts that were pitched into it, or into any beer that was blended into it."""
        found: set[str] = set()
        for parent, child, kind, _ in self.links:
            if child == contents and kind == "ingredient":
                if self.material[parent] == "YEAST":
                    found.add(parent)
                elif self.material[parent] in ("WORT", "LAGER"):
                    found |= self.yeasts_at_work(parent)
        return found

    def part_in(self, lot: str) -> dict[str, Fraction]:
        """How much of `lot` is in the whole of every lot, exactly, in the micro-units of `lot`."""
        amounts = defaultdict(Fraction, {lot: Fraction(self.total(lot))})
        for child in self.made:  # in the order in which they were made: parents come first
            for parent, made, _, quantity in self.links:
                if made == child and parent in amounts:
                    amounts[child] += amounts[parent] * quantity / self.total(parent)
        return {key: amount for key, amount in amounts.items() if amount}

    def ends_of(self, lot: str) -> dict[tuple[str, str], Fraction]:
        """Where all of `lot` is: in which lot, at which place, how much of it, exactly."""
        amounts = self.part_in(lot)
        ends = {
            (held, place): amounts[held] * quantity / self.total(held)
            for (held, place), quantity in self.lying().items()
            if held in amounts
        }
        for held in amounts:
            if self.counted[held] < 0:
                ends[held, "missing"] = amounts[held] * -self.counted[held] / self.total(held)
        return ends

    def _make(self, lot: str, material: str, quantity: int, generation: int | None) -> None:
        assert lot not in self.made
        self.made[lot], self.material[lot] = quantity, material
        if generation is not None:
            self.generation[lot] = generation

    def _link(self, parent: str, lot: str, kind: str, quantity: int) -> None:
        """One parent that comes from two places is one link."""
        known = [link for link in self.links if link[:3] == (parent, lot, kind)]
        for link in known:
            self.links.remove(link)
        self.links.append((parent, lot, kind, quantity + sum(link[3] for link in known)))

    def _take(self, lot: str, place: str, quantity: int) -> None:
        self.held[lot, place] -= quantity
        if not self.held[lot, place]:
            self.left[place] = lot
        assert self.held[lot, place] >= 0, (lot, place)
