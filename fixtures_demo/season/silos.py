"""The two silos: gauged and refilled before they are empty, and run empty and cleaned from time to time."""

from functools import partial

from .book import SUPPLIER, TRANSFORMED
from .days import workday_after
from .desk import Desk
from .materials import MATERIALS
from .places import PLACES
from .purchases import SILO_MALTS
from .quality import Quality
from .quantities import KG, TONNE, rounded
from .store import Line, Store

REFILL_AT = 3600 * KG
RUN_DOWN_TO = 1450 * KG
REFILLS_BEFORE_CLEANING = 3


class Silos:
    """Orders lorries of malt and tips them."""

    def __init__(self, desk: Desk, store: Store, quality: Quality) -> None:
        self._desk = desk
        self._store = store
        self._quality = quality
        self._loads = dict.fromkeys(SILO_MALTS, 0)
        self._on_order: set[str] = set()

    def open_season(self, silo: str) -> None:
        """The clean silo gets its first load."""
        self.tip(silo)

    def check(self, silo: str) -> None:
        """A low silo has a lorry on order; one due for cleaning is run down first, and filled the same afternoon."""
        held = self._desk.book.volume(silo)
        if silo in self._on_order:
            return
        if self._loads[silo] % REFILLS_BEFORE_CLEANING == 0:
            if held <= RUN_DOWN_TO:
                self._empty(silo)
                self._order(silo, 0, "16:20")
        elif held <= REFILL_AT:
            self._order(silo, 1, "10:10")

    def _order(self, silo: str, workdays: int, clock: str) -> None:
        self._on_order.add(silo)
        today = self._desk.diary.today
        self._desk.diary.at(workday_after(today, workdays), clock, partial(self.tip, silo))

    def tip(self, silo: str) -> None:
        """A load lies in the silo: in a mixed one that was not empty, as new contents of heel and load."""
        material, supplier, _ = SILO_MALTS[silo]
        self._loads[silo] += 1
        self._on_order.discard(silo)
        amount = rounded(self._desk.dice.between(6600, 8200) * KG, 20 * KG)
        heel = self._desk.book.contents(silo) if PLACES[silo].filling == "mixed" else None
        contents = self._desk.code("SI") if heel else ""
        code = self._desk.code("MA")
        supplier_lot = self._store.supplier_lot(supplier, material, self._desk.diary.today)
        line = Line(material, code, amount, "t", silo, supplier_lot, 300, contents=contents)
        if heel:
            self._store.book_in(supplier, [line])
            self._blend(silo, line, heel.code)
        else:
            self._store.receive(supplier, [line])

    def _blend(self, silo: str, line: Line, heel: str) -> None:
        book = self._desk.book
        left = book.held(silo, heel)
        book.post(heel, silo, TRANSFORMED, left)
        book.make(line.contents, line.material, MATERIALS[line.material].arrives)
        book.post(line.code, SUPPLIER, TRANSFORMED, line.amount)
        book.post(line.contents, TRANSFORMED, silo, left + line.amount)

    def gauge(self, silo: str) -> None:
        """The oldest lot in the silo is put right after a strapping; often by some tens of kilos."""
        lot, held = self._desk.book.at(silo)[0]
        found = held + self._desk.dice.between(-6, 4) * 10 * KG
        if found > TONNE:
            self._desk.count(lot.code, silo, found, "kg", "Strapping from the manway", "accounting")

    def _empty(self, silo: str) -> None:
        """The last of it lies in bags in the malt store, the dust is counted away, and the silo is clean."""
        for lot, held in self._desk.book.at(silo):
            dust = self._desk.dice.between(6, 24) * KG + held % KG
            if held > dust:
                self._desk.move(lot.code, silo, "MALT", held - dust, "kg")
        for lot, _ in self._desk.book.at(silo):
            self._desk.count(lot.code, silo, 0, "kg", "Silo run empty and cleaned", "receiving")
