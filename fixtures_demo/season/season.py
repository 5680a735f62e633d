"""The season as a whole: the departments at work from the first day to the last."""

from datetime import date
from functools import partial

from . import afterwards
from .beers import DARK_LAGER
from .brewhouse import Brewhouse
from .cellar import Cellar
from .days import ALL_DAYS, END, START, WORKDAYS, moment
from .desk import Desk
from .diary import Diary
from .dice import Dice
from .dispatch import Dispatch
from .materials import MATERIALS
from .packaging import Packaging
from .paper import Paper
from .parties import CUSTOMERS, SUPPLIERS
from .people import PEOPLE
from .places import PLACES
from .plan import Plan
from .purchases import SILO_MALTS
from .purchasing import Purchasing
from .quality import Quality
from .quantities import written
from .racking import Racking
from .rounds import ROUND, Rounds
from .silos import Silos
from .stocktake import Stocktake
from .store import Store
from .yeast import Yeast

SEED = 20260335
RETURN_DAYS = [day for day in WORKDAYS if day >= date(2026, 4, 20)][::9]
GAUGE_DAYS = WORKDAYS[12::15]


class Season:
    """All departments around one desk."""

    def __init__(self) -> None:
        self.desk = desk = Desk(Dice(SEED), Diary(moment(START, "06:00")))
        quality = Quality(desk)
        store = Store(desk, quality)
        self._purchasing = Purchasing(desk, store)
        self._silos = Silos(desk, store, quality)
        self._yeast = Yeast(desk, store, quality)
        self._cellar = Cellar(desk, store, self._yeast, quality)
        self._rounds = Rounds(desk, self._cellar)
        self._brewhouse = Brewhouse(desk, store, self._cellar)
        self._packaging = Packaging(desk, store, quality)
        self._racking = Racking(desk, store, self._cellar, quality, self._packaging)
        self._plan = Plan(desk, self._yeast, self._cellar, self._brewhouse)
        self._dispatch = Dispatch(desk)
        self._stocktake = Stocktake(desk)

    def play(self) -> Paper:
        """The season has happened, and its papers are returned."""
        self._write_registers()
        self._open()
        for day in WORKDAYS:
            self._plan_workday(day)
        for day in ALL_DAYS:
            self.desk.diary.at(day, "16:00", self._yeast.clear_out)
            if day.weekday() != 6:
                self.desk.diary.at(day, ROUND, self._rounds.walk)
        self._brewhouse.leave_under_way(END, DARK_LAGER)
        self.desk.diary.at(END, "09:00", self._purchasing.order_for_autumn)
        self.desk.diary.at(END, "17:30", self._packaging.leave_under_way)
        self.desk.diary.run(moment(END, "18:00"))
        afterwards.complete(self.desk.paper, self._rounds, self.desk.book.turns)
        return self.desk.paper

    def _open(self) -> None:
        self._purchasing.open_season()
        for silo, clock in zip(SILO_MALTS, ("12:30", "14:00"), strict=True):
            self.desk.diary.at(START, clock, partial(self._silos.open_season, silo))
        months = {day.month: day for day in reversed(WORKDAYS)}
        for day in months.values():
            self.desk.diary.at(day, "05:30", self._purchasing.read_water_meter)

    def _plan_workday(self, day: date) -> None:
        at = self.desk.diary.at
        at(day, "06:40", self._dispatch.plan_day)
        at(day, "10:20", self._racking.check)
        for silo in SILO_MALTS:
            at(day, "14:40", partial(self._silos.check, silo))
        at(day, "15:30", self._purchasing.check)
        at(day, "16:30", self._plan.check)
        if day.weekday() == 0:
            at(day, "06:30", self._dispatch.stage)
        if day in RETURN_DAYS:
            at(day, "11:30", self._dispatch.take_back)
        if day in GAUGE_DAYS:
            at(day, "17:00", partial(self._silos.gauge, "SILO1"))
            at(day, "17:10", partial(self._silos.gauge, "SILO2"))
        if day == max(other for other in WORKDAYS if other.month == day.month):
            at(day, "17:20", self._stocktake.count_some)

    def _write_registers(self) -> None:
        paper = self.desk.paper
        for person in PEOPLE:
            paper.register("people", *person)
        for material in MATERIALS.values():
            cells = (material.kind, material.unit, material.arrives, material.contents, material.contents_unit)
            paper.register("materials", material.code, material.name, *cells)
        for role, parties in (("supplier", SUPPLIERS), ("customer", CUSTOMERS)):
            for party, name in parties.items():
                paper.register("parties", party, name, role)
        for place in PLACES.values():
            capacity = written(place.capacity, place.unit) if place.capacity else ""
            band = written(place.band, place.unit) if place.band else ""
            cells = (place.kind, place.filling, capacity, place.unit, place.warmth, band)
            paper.register("locations", place.code, place.name, *cells)
