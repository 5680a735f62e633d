"""A record that is made twice: in the services and in the model, step by step, so that it can be told again.

Told again up to a moment it is the past; told again with one more step it says whether that step can have been.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from inventory.models import Event
from tests.brewhouse import Brewhouse
from tests.model import Model, Part

MICRO = 1_000_000
TANKS = ("FV1", "FV2", "BT1")
STORES = ("STORE", "COLD")
STOCK = (*STORES, "SILO1", "SILO2", "BRINK1")
CAPACITY = 4_000 * MICRO
RAW = {
    "PILS": ("kg", ("SILO1", "SILO1", "SILO2", "STORE")),
    "SAAZ": ("kg", STORES),
    "YEAST": ("kg", ("COLD",)),
    "GYPSUM": ("kg", ("STORE",)),
    "ISINGLASS": ("L", ("COLD",)),
    "KIESELGUHR": ("kg", ("STORE",)),
    "CROWN": ("each", ("STORE",)),
}
PACKAGED = ("KEG50", "BOTTLE500")
UNITS = {code: unit for code, (unit, _) in RAW.items()} | {"WORT": "L", "LAGER": "L"} | dict.fromkeys(PACKAGED, "each")

Told = Callable[[Model], None]


@dataclass
class Step:
    """Something that happened: when, and how to tell it to a model."""

    hours: float
    told: Told
    event: Event | None
    is_alone: bool = True


@dataclass
class Record:
    """A brewery's record being made, in the services and in the model at once, and ways to choose what comes next."""

    house: Brewhouse
    random: Random
    model: Model = field(default_factory=Model)
    steps: list[Step] = field(default_factory=list)
    made_at: dict[str, float] = field(default_factory=dict)
    hours: float = 0.0
    made: int = 0
    told_late: int = 0

    def told_until(self, hours: float) -> Model:
        """Return a model to which only what had happened by then was told."""
        model = Model()
        for step in sorted(self.steps, key=lambda step: step.hours):
            if step.hours <= hours:
                step.told(model)
        return model

    def can_be_told(self, hours: float, told: Told) -> bool:
        """Return whether nothing would ever have been below nothing, had this happened then."""
        model = Model()
        late = Step(hours, told, None)
        try:
            for step in sorted([*self.steps, late], key=lambda step: step.hours):
                step.told(model)
        except AssertionError:
            return False
        return True

    # Ways to choose

    def code(self, letter: str) -> str:
        self.made += 1
        return f"{letter}{self.made}"

    def amount(self, most: int) -> int:
        """Some of it, all of it now and then, down to odd micro-units."""
        if most <= 1 or self.random.random() < 0.2:
            return most
        return max(1, round(most * self.random.choice((0.1, 0.3, 0.5, 0.9)))) - self.random.choice((0, 0, 1)) or 1

    def text(self, micro: int, material: str) -> str:
        return f"{micro // MICRO}.{micro % MICRO:06d} {UNITS[material]}"

    def lines(self, parts: list[Part]) -> list[tuple[str, str, str]]:
        return [(lot, place, self.text(quantity, self.model.material[lot])) for lot, place, quantity in parts]

    def stocked(self, *materials: str, places: tuple[str, ...] = STOCK) -> Part | None:
        """Something of these materials that lies in stock."""
        there = [
            (lot, place, quantity)
            for (lot, place), quantity in self.model.lying().items()
            if place in places and self.model.material[lot] in materials
        ]
        lowest = self.lowest("SILO2")
        there = [part for part in there if part[1] != "SILO2" or part[0] == lowest]
        return self.random.choice(there) if there else None

    def lowest(self, silo: str) -> str | None:
        """The lot that leaves a layered silo first: that which came first of all that lie in it."""
        lying = {lot for (lot, place), _ in self.model.lying().items() if place == silo}
        return next((lot for lot in self.made_at if lot in lying), None)

    def tank(self, *, empty: bool) -> str | None:
        fitting = [tank for tank in TANKS if (self.model.contents(tank) is None) == empty]
        return self.random.choice(fitting) if fitting else None

    def room(self, tank: str) -> int:
        held = self.model.contents(tank)
        return CAPACITY - (self.model.held[held, tank] if held else 0)

    def happened(self, told: Told, event: Event | None, *, is_alone: bool = True) -> None:
        self.steps.append(Step(self.hours, told, event, is_alone))
        told(self.model)
        for lot in self.model.made:
            self.made_at.setdefault(lot, self.hours)

    def later(self) -> float:
        self.hours += self.random.choice((0.25, 1, 7, 30))
        return self.hours
