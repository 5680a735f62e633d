"""The stock book: what lies where. It refuses what cannot be, so that the papers never tell of it."""

from dataclasses import dataclass

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


class Book:
    """Lots and the places they lie in, in thousandths of base units."""

    def __init__(self) -> None:
        self.lots: dict[str, Lot] = {}
        self._held: dict[str, dict[str, int]] = {}

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

    def _put(self, lot: str, target: str, amount: int) -> None:
        place = PLACES.get(target)
        if place and place.capacity and self.volume(target) + amount > place.capacity:
            raise BookError(f"{target} cannot take {amount} more of {lot}")
        if place and place.holds_one_lot and any(other.code != lot for other, _ in self.at(target)):
            raise BookError(f"{target} already holds {self.at(target)}")
        self._held.setdefault(target, {})
        self._held[target][lot] = self.held(target, lot) + amount
