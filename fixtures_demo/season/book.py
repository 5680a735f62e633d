"""The stock book: what lies where. It refuses what cannot be, so that the papers never tell of it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from .places import PLACES

SUPPLIER, TRANSFORMED, LOSS, DESTROYED, DIFFERENCE = "supplier", "transformed", "loss", "destroyed", "difference"
_ORIGINS = {SUPPLIER, TRANSFORMED, DIFFERENCE}


class BookError(Exception):
    """The season would tell of something that cannot happen."""


@dataclass
class Lot:
    """A lot: what it is of, what may be done with it, and how old its yeast is."""

    code: str
    number: int
    material: str
    disposition: str
    best_before: str = ""
    generation: int = 0


@dataclass(frozen=True)
class Turn:
    """A vessel was emptied, or the lot went into an empty one."""

    vessel: str
    moment: datetime
    filled_with: str = ""


class Book:
    """Lots and the places they lie in, in thousandths of base units."""

    def __init__(self, clock: Callable[[], datetime]) -> None:
        self.lots: dict[str, Lot] = {}
        self.turns: list[Turn] = []
        self._held: dict[str, dict[str, int]] = {}
        self._clock = clock

    def make(self, code: str, material: str, arrives: str, *, best_before: str = "", generation: int = 0) -> Lot:
        """A new lot under a code that nobody has used yet."""
        if code in self.lots or len(code) > 20:
            raise BookError(f"lot code {code} is taken or too long")
        lot = Lot(code, len(self.lots), material, arrives, best_before, generation)
        self.lots[code] = lot
        return lot

    def held(self, place: str, lot: str) -> int:
        """How much of the lot lies in the place."""
        return self._held.get(place, {}).get(lot, 0)

    def at(self, place: str) -> list[tuple[Lot, int]]:
        """What lies in the place, the lot that was made first coming first."""
        lots = [(self.lots[code], amount) for code, amount in self._held.get(place, {}).items() if amount]
        return sorted(lots, key=lambda part: part[0].number)

    def volume(self, place: str) -> int:
        """How much lies in the place of all lots together."""
        return sum(amount for _, amount in self.at(place))

    def contents(self, vessel: str) -> Lot | None:
        """The one lot in a vessel."""
        lots = self.at(vessel)
        return lots[0][0] if lots else None

    def post(self, lot: str, source: str, target: str, amount: int) -> None:
        """The amount has gone from one place to the other."""
        if amount <= 0:
            raise BookError(f"{amount} of {lot} from {source} to {target}")
        if source not in _ORIGINS:
            self._take(lot, source, amount)
        if target not in (*_ORIGINS, LOSS, DESTROYED):
            self._put(lot, target, amount)

    def _take(self, lot: str, source: str, amount: int) -> None:
        there = self.held(source, lot)
        if there < amount:
            raise BookError(f"{source} holds {there} of {lot}, not {amount}")
        self._held[source][lot] = there - amount
        if self._is_vessel(source) and not self.volume(source):
            self.turns.append(Turn(source, self._clock()))

    def _put(self, lot: str, target: str, amount: int) -> None:
        place = PLACES.get(target)
        if place and place.capacity and self.volume(target) + amount > place.capacity:
            raise BookError(f"{target} cannot take {amount} more of {lot}")
        if place and place.holds_one_lot and any(other.code != lot for other, _ in self.at(target)):
            raise BookError(f"{target} already holds {self.at(target)}")
        if self._is_vessel(target) and not self.volume(target):
            self.turns.append(Turn(target, self._clock(), lot))
        self._held.setdefault(target, {})
        self._held[target][lot] = self.held(target, lot) + amount

    @staticmethod
    def _is_vessel(place: str) -> bool:
        return place in PLACES and PLACES[place].is_cleaned
