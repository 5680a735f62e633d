"""The yeast: cultures are bought, pitched, cropped and pitched again, up to the sixth generation."""

from datetime import date, timedelta
from functools import partial

from .book import TRANSFORMED, BookError, Lot
from .days import workday_after
from .desk import Desk
from .places import BRINKS
from .purchases import CULTURES
from .quality import Quality
from .quantities import KG
from .store import Line, Part, Store

LAST_GENERATION = 6
KEEPS_DAYS = 9


class Yeast:
    """Keeps the brinks."""

    def __init__(self, desk: Desk, store: Store, quality: Quality) -> None:
        self._desk = desk
        self._store = store
        self._quality = quality
        self._drawn_on: dict[str, date] = {}
        self._on_order: dict[str, int] = {}

    def ready(self, strain: str, day: date) -> int:
        """How much yeast of the strain will still be fit to pitch on that day."""
        return sum(held for lot, _, held in self._stock(strain) if self._fit(lot, day))

    def pick(self, strain: str, amount: int) -> list[Part]:
        """Released parts that make up the amount: from the freshest brink that holds so much, or from several."""
        today = self._desk.diary.today
        fit = [part for part in self._stock(strain) if self._fit(part[0], today) and part[0].disposition == "released"]
        freshest_first = sorted(fit, key=lambda part: -part[0].number)
        alone = [part for part in freshest_first if part[2] >= amount][:1]
        parts: list[Part] = []
        for lot, brink, held in alone or freshest_first:
            taken = min(held, amount)
            if taken:
                parts.append((lot.code, brink, taken))
                amount -= taken
        if amount:
            raise BookError(f"{self._desk.diary.now}: {amount} of {strain} short")
        return parts

    def order_culture(self, strain: str, amount: int) -> None:
        """A culture of the first generation comes on the next workday and is released the same day."""
        day = workday_after(self._desk.diary.today)
        self._on_order[strain] = self.on_order(strain) + amount
        self._desk.diary.at(day, "10:30", partial(self._receive, strain, amount))

    def on_order(self, strain: str) -> int:
        """How much of the strain is ordered and not there yet."""
        return self._on_order.get(strain, 0)

    def _receive(self, strain: str, amount: int) -> None:
        self._on_order[strain] -= amount
        supplier = CULTURES[strain]
        code = self._desk.code("YE")
        supplier_lot = self._store.supplier_lot(supplier, strain, self._desk.diary.today)
        line = Line(strain, code, amount, "kg", self.free_brink(), supplier_lot, 21, generation=1)
        self._store.receive(supplier, [line])
        self._drawn_on[code] = self._desk.diary.today
        self._desk.diary.after(45, partial(self._release, code))

    def crop(self, strain: str, generation: int, amount: int) -> tuple[str, str]:
        """A new lot of that generation lies in a brink; its code and the brink are returned."""
        brink = self.free_brink()
        code = self._desk.code("YH")
        self._desk.book.make(code, strain, "quarantined", generation=generation)
        self._desk.book.post(code, TRANSFORMED, brink, amount)
        self._drawn_on[code] = self._desk.diary.today
        self._desk.diary.after(150, partial(self._release, code))
        return code, brink

    def _release(self, code: str) -> None:
        lot, brink = self._desk.book.lots[code], self._brink_of(code)
        self._quality.sample(code, brink, 200, "g", "Count, viability and plates")
        viability = self._desk.dice.between(955, 992) - 3 * lot.generation
        self._quality.decide(code, "released", f"Viability {viability / 10:.1f} %, no bacteria in the smear")

    def clear_out(self) -> None:
        """Yeast past its days, and small remains, are destroyed."""
        for brink in BRINKS:
            for lot, held in self._desk.book.at(brink):
                if self._age(lot, self._desk.diary.today) > KEEPS_DAYS:
                    self._quality.destroy(lot.code, brink, "kg", "Older than nine days")
                elif held < 15 * KG:
                    self._quality.destroy(lot.code, brink, "kg", "Too little left to pitch")

    def free_brink(self) -> str:
        """An empty brink; if there is none, the oldest crop is poured away for it."""
        for brink in BRINKS:
            if not self._desk.book.contents(brink):
                return brink
        brink = min(BRINKS, key=lambda place: self._desk.book.at(place)[0][0].number)
        self._quality.destroy(self._desk.book.at(brink)[0][0].code, brink, "kg", "Brink needed for a fresh crop")
        return brink

    def _stock(self, strain: str) -> list[tuple[Lot, str, int]]:
        return [
            (lot, brink, held) for brink in BRINKS for lot, held in self._desk.book.at(brink) if lot.material == strain
        ]

    def _brink_of(self, code: str) -> str:
        return next(brink for brink in BRINKS if self._desk.book.held(brink, code))

    def _fit(self, lot: Lot, day: date) -> bool:
        return lot.generation <= LAST_GENERATION and self._age(lot, day) <= KEEPS_DAYS

    def _age(self, lot: Lot, day: date) -> int:
        return (day - self._drawn_on[lot.code]) // timedelta(days=1)
