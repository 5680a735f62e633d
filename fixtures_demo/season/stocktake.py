"""The monthly stocktake: some lots in every store are counted, and some are not what the book says."""

from .book import Lot
from .desk import Desk
from .materials import MATERIALS
from .quantities import EACH, KG

_REASONS = ("Monthly stocktake", "Monthly stocktake, counted twice")
# The largest step, and how many of them a count may be off.
_STEP_OF_KIND = {
    "malt": (500, 6),
    "adjunct": (500, 4),
    "hop": (50, 6),
    "salt": (100, 4),
    "filter_aid": (100, 5),
    "fining": (50, 3),
    "packaging": (EACH, 40),
    "packaged": (EACH, 2),
}


class Stocktake:
    """Counts."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def count_some(self) -> None:
        """Two lots of every store are counted."""
        for place in ("MALT", "HOPS", "DRY", "PACK", "KEGS", "CASES"):
            lots = [(lot, held) for lot, held in self._desk.book.at(place) if lot.disposition == "released"]
            for lot, held in self._desk.dice.pick_some(lots, 2):
                self._count(lot, place, held)

    def _count(self, lot: Lot, place: str, held: int) -> None:
        dice = self._desk.dice
        material = MATERIALS[lot.material]
        step, most = _STEP_OF_KIND[material.kind]
        if held < most * step + KG or dice.chance(0.35):
            self._desk.count(lot.code, place, held, material.unit, dice.pick(_REASONS), "accounting")
            return
        found = held + dice.between(-most, most // 2) * step
        self._desk.count(lot.code, place, found, material.unit, dice.pick(_REASONS), "accounting")
