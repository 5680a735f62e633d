"""Purchasing: what runs low is ordered, and comes some days later in one delivery a supplier."""

from datetime import date
from functools import partial

from .book import SUPPLIER
from .days import END, START, workday_after
from .desk import Desk
from .places import STORES
from .purchases import LIQUOR, SUPPLIES, Supply
from .quantities import HL
from .store import Line, Store

LIQUOR_UP_TO = 1750 * HL
MISKEYED_ORDER = ("Carton 24 x 0.33 L", 4)


class Purchasing:
    """Keeps the stores supplied."""

    def __init__(self, desk: Desk, store: Store) -> None:
        self._desk = desk
        self._store = store
        self._ordered: dict[str, int] = {}
        self._orders: dict[str, int] = {}
        self._harvest_lots: dict[str, str] = {}

    def open_season(self) -> None:
        """The first day brings everything."""
        suppliers = list(dict.fromkeys(supply.supplier for supply in SUPPLIES))
        for minutes, supplier in enumerate(suppliers):
            self._order([s for s in SUPPLIES if s.supplier == supplier], START, f"{8 + minutes // 3:02d}:15")

    def order_for_autumn(self) -> None:
        """Fresh hops come on the last day, and still wait in quarantine when the season ends."""
        self._order([supply for supply in SUPPLIES if supply.supplier == "S06"], END, "11:20")

    def check(self) -> None:
        """Whatever is at its reorder point is on order."""
        low = [supply for supply in SUPPLIES if self._position(supply) <= supply.reorder_at]
        for supplier in dict.fromkeys(supply.supplier for supply in low):
            day = workday_after(self._desk.diary.today, self._desk.dice.between(2, 3))
            clock = f"{self._desk.dice.between(8, 13):02d}:{self._desk.dice.between(0, 59):02d}"
            self._order([supply for supply in low if supply.supplier == supplier], day, clock)

    def read_water_meter(self) -> None:
        """The month's liquor is booked in as one lot of the water works, enough for all brews of the month."""
        held = self._desk.book.volume("LIQUOR")
        code = self._desk.code("WA")
        supplier_lot = f"METER-{self._desk.diary.today:%Y-%m}"
        line = Line(LIQUOR.material, code, LIQUOR_UP_TO - held, "hL", "LIQUOR", supplier_lot)
        self._store.receive(LIQUOR.supplier, [line])

    def _position(self, supply: Supply) -> int:
        book = self._desk.book
        there = sum(
            amount
            for place in STORES
            for lot, amount in book.at(place)
            if lot.material == supply.material and lot.disposition != "rejected"
        )
        return there + self._ordered.get(supply.material, 0)

    def _order(self, supplies: list[Supply], day: date, clock: str) -> None:
        if day > END:
            return
        for supply in supplies:
            self._ordered[supply.material] = self._ordered.get(supply.material, 0) + supply.pack * supply.packs
        self._desk.diary.at(day, clock, partial(self._arrive, supplies))

    def _arrive(self, supplies: list[Supply]) -> None:
        for supply in supplies:
            self._ordered[supply.material] -= supply.pack * supply.packs
            self._orders[supply.material] = self._orders.get(supply.material, 0) + 1
            if (supply.material, self._orders[supply.material]) == MISKEYED_ORDER:
                self._miskey(supply)
                return
        self._receive(supplies)

    def _receive(self, supplies: list[Supply]) -> None:
        self._store.receive(supplies[0].supplier, [line for supply in supplies for line in self._lines(supply)])

    def _lines(self, supply: Supply) -> list[Line]:
        first = (supply.packs * 3 + 2) // 5 if supply.lots == 2 else supply.packs
        packs = [first, supply.packs - first] if supply.lots == 2 else [first]
        return [self._line(supply, count) for count in packs]

    def _line(self, supply: Supply, packs: int) -> Line:
        code = self._desk.code(supply.prefix)
        amount = supply.pack * packs
        return Line(
            supply.material, code, amount, supply.unit, supply.place, self._supplier_lot(supply), supply.keeps_days
        )

    def _supplier_lot(self, supply: Supply) -> str:
        """Hop merchants send several deliveries of one lot; everybody else makes a new one each time."""
        known = self._harvest_lots.get(supply.material)
        if supply.kind == "hop" and known and self._desk.dice.chance(0.4):
            return known
        lot = self._store.supplier_lot(supply.supplier, supply.material, self._desk.diary.today)
        self._harvest_lots[supply.material] = lot
        return lot

    def _miskey(self, supply: Supply) -> None:
        """The clerk types a nought too many, sees it at the shelf, and books the delivery again."""
        wrong = self._line(supply, supply.packs * 10)
        number = self._store.book_in(supply.supplier, [wrong])
        self._desk.diary.after(25, partial(self._put_right, supply, wrong, number))

    def _put_right(self, supply: Supply, wrong: Line, number: str) -> None:
        self._store.reverse("deliveries", number, "Quantity typed with a nought too many", "receiving")
        self._desk.book.post(wrong.code, supply.place, SUPPLIER, wrong.amount)
        self._receive([supply])
