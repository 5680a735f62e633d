"""Dispatch: shipments to customers, first expired first, and what comes back from them."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from .book import DESTROYED, Lot
from .days import workday_after
from .desk import Desk
from .materials import MATERIALS
from .parties import HOUSES, WHOLESALERS
from .quantities import EACH

PLACES = ("DOCK", "KEGS", "CASES")
OF_THE_OTHER_KIND = {
    "Keg leaks at the neck": "Crown corks leak",
    "Bottles short-filled": "Keg short-filled",
    "Carton wet, labels loose": "Keg dented, label torn",
}
"""What is wrong with cases where the reason is one of kegs, and the other way round."""
RETURN_REASONS = (
    ("Keg leaks at the neck", "damaged", False),
    ("Delivered twice, seals intact", "wrong_goods", True),
    ("Bottles short-filled", "other", False),
    ("Event called off, seals intact", "unsold", True),
    ("Carton wet, labels loose", "damaged", False),
)


@dataclass(frozen=True)
class Sold:
    """One line of a shipment."""

    day: date
    customer: str
    lot: str
    place: str
    count: int


class Dispatch:
    """Sends beer out and takes some back."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._sold: list[Sold] = []
        self._notes = 0
        self._returns = 0

    def plan_day(self) -> None:
        """Five or six lorries leave in the course of the day."""
        for _ in range(self._desk.dice.pick((5, 5, 6, 6, 6))):
            clock = f"{self._desk.dice.between(7, 13):02d}:{self._desk.dice.between(0, 59):02d}"
            self._desk.diary.at(self._desk.diary.today, clock, self._ship)

    def stage(self) -> None:
        """A part of some keg lots stands ready at the dock for the week."""
        lots = [(lot, held) for lot, held in self._desk.book.at("KEGS") if lot.disposition == "released"]
        for lot, held in self._desk.dice.pick_some(lots, 2):
            count = held // EACH // 3
            if count >= 8:
                self._desk.move(lot.code, "KEGS", "DOCK", count * EACH, "each")

    def _ship(self) -> None:
        dice = self._desk.dice
        wholesale = dice.chance(0.45)
        customer = dice.pick(list(WHOLESALERS if wholesale else HOUSES))
        stock = self._stock()
        wanted = dice.pick_some(sorted(stock), dice.between(1, 3))
        parts = [part for material in wanted for part in self._parts(stock[material], wholesale=wholesale)]
        if not parts:
            return
        self._notes += 1
        record = self._desk.record("shipments", "receiving")
        for lot, place, count in parts:
            quantity = self._desk.quantity(count * EACH, "each")
            record.row(
                customer=customer, note_number=f"QB{26000 + self._notes}", lot=lot.code, location=place, **quantity
            )
            self._desk.book.post(lot.code, place, customer, count * EACH)
            self._sold.append(Sold(self._desk.diary.today, customer, lot.code, place, count))

    def _stock(self) -> dict[str, list[tuple[Lot, str, int]]]:
        """Released packaged lots by material, first expired first."""
        stock: dict[str, list[tuple[Lot, str, int]]] = {}
        for place in PLACES:
            for lot, held in self._desk.book.at(place):
                if lot.disposition == "released" and held >= EACH:
                    stock.setdefault(lot.material, []).append((lot, place, held // EACH))
        for lots in stock.values():
            lots.sort(key=lambda part: (part[0].best_before, part[0].number, PLACES.index(part[1])))
        return stock

    def _parts(self, lots: list[tuple[Lot, str, int]], *, wholesale: bool) -> list[tuple[Lot, str, int]]:
        there = sum(count for _, _, count in lots)
        wanted = there * self._desk.dice.between(9, 20) // 100 if wholesale else self._desk.dice.between(2, 12)
        wanted = min(there, max(wanted, 2))
        parts = []
        for lot, place, count in lots:
            taken = min(count, wanted)
            if taken:
                parts.append((lot, place, taken))
                wanted -= taken
        return parts

    def take_back(self) -> None:
        """A customer sends a few of a shipment of the last fortnight back."""
        today = self._desk.diary.today
        recent = [sold for sold in self._sold if timedelta(2) <= today - sold.day <= timedelta(14) and sold.count >= 4]
        if not recent:
            return
        sold = self._desk.dice.pick(recent)
        self._sold.remove(sold)
        reason, cause, sound = RETURN_REASONS[self._returns % len(RETURN_REASONS)]
        self._returns += 1
        if ("K" in sold.lot.split("-")[1]) != reason.startswith("Keg"):
            reason = OF_THE_OTHER_KIND.get(reason, reason)
        count = self._desk.dice.between(1, 3) * EACH
        record = self._desk.record("customer_returns", "receiving")
        quantity = self._desk.quantity(count, "each")
        record.row(customer=sold.customer, lot=sold.lot, location="RETURNS", reason=reason, cause=cause, **quantity)
        self._desk.book.post(sold.lot, sold.customer, "RETURNS", count)
        self._desk.diary.at(
            workday_after(today, 2), "09:50", partial(self._settle, record.number, sold, count, sound=sound)
        )

    def _settle(self, back: str, sold: Sold, count: int, *, sound: bool) -> None:
        """Sound goods go back into the store, the others are emptied."""
        cells = {"customer_return": back, "lot": sold.lot, "location": "RETURNS", **self._desk.quantity(count, "each")}
        if sound:
            cold = "KEGS" if "keg" in MATERIALS[self._desk.book.lots[sold.lot].material].name else "CASES"
            record = self._desk.record("return_outcomes", "receiving")
            record.row(**cells, outcome="restock", to_location=cold, reason="Sound and cold all the while")
            self._desk.book.post(sold.lot, "RETURNS", cold, count)
        else:
            record = self._desk.record("return_outcomes", "quality")
            record.row(**cells, outcome="destroy", reason="Returned goods, emptied to drain")
            self._desk.book.post(sold.lot, "RETURNS", DESTROYED, count)
