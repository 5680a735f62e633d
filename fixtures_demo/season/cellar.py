"""The fermenting cellar: wort is pitched, beer ferments, yeast is cropped, dry hops go in."""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import partial

from .book import TRANSFORMED
from .charges import Charge
from .days import cellar_day
from .desk import Desk
from .materials import code_of
from .places import PLACES
from .quality import Quality
from .quantities import HL, KG, L, rounded, written
from .store import Store
from .yeast import LAST_GENERATION, Yeast

LATE_CROP_GENERATION = 2
LATE_CROP_ON = 13


class Cellar:
    """Knows every charge that is in a fermenter or expected there."""

    def __init__(self, desk: Desk, store: Store, yeast: Yeast, quality: Quality) -> None:
        self._desk = desk
        self._store = store
        self._yeast = yeast
        self._quality = quality
        self.charges: list[Charge] = []

    def is_free(self, tank: str) -> bool:
        """True if the tank is empty and nothing is planned for it."""
        return not self._desk.book.contents(tank) and all(charge.vessel != tank for charge in self.charges)

    def reserve(self, charges: Sequence[Charge], *, blended: bool) -> None:
        """The charges' tanks are kept for them; some are to be blended when they are racked."""
        for charge in charges:
            charge.blended_with = [other for other in charges if blended and other is not charge]
            self.charges.append(charge)

    def crops_expected(self, strain: str, until: date) -> int:
        """How much yeast of the strain will be cropped by then."""
        return sum(
            charge.size.crop
            for charge in self.charges
            if charge.beer.strain == strain and charge.harvest_on and charge.harvest_on <= until
        )

    def pitches_due(self, strain: str) -> int:
        """How much yeast of the strain is meant for charges that are not pitched yet."""
        due = [charge for charge in self.charges if charge.beer.strain == strain and not charge.pitched_on]
        return sum(charge.size.pitch for charge in due)

    def take_wort(self, charge: Charge, wort: str, amount: int) -> str:
        """The wort lies in the tank; where beer ferments already, as new contents, whose code is returned."""
        charge.knocked_out += 1
        held = self._desk.book.contents(charge.vessel)
        if held:
            return self.renew(charge.vessel, self._desk.book.volume(charge.vessel) + amount)
        self._desk.book.post(wort, TRANSFORMED, charge.vessel, amount)
        self._desk.diary.after(75, partial(self._pitch, charge))
        return ""

    def renew(self, vessel: str, volume: int, material: str = "") -> str:
        """The vessel holds a new lot instead of its contents; its code is returned."""
        book = self._desk.book
        held = book.contents(vessel)
        if held is None:
            raise LookupError(f"{vessel} is empty")
        code = self._desk.code("BE", 4)
        book.post(held.code, vessel, TRANSFORMED, book.volume(vessel))
        book.make(code, material or held.material, "released")
        book.post(code, TRANSFORMED, vessel, volume)
        return code

    def _pitch(self, charge: Charge) -> None:
        parts = self._yeast.pick(charge.beer.strain, charge.size.pitch)
        record = self._desk.record("pitches", "brewing")
        contents = self.renew(charge.vessel, self._desk.book.volume(charge.vessel), charge.beer.name)
        for lot, brink, amount in parts:
            cells = {"yeast_lot": lot, "location": brink, **self._desk.quantity(amount, "kg")}
            record.row(vessel=charge.vessel, beer=code_of(charge.beer.name), contents_lot=contents, **cells)
            self._desk.book.post(lot, brink, TRANSFORMED, amount)
        charge.generation = max(self._desk.book.lots[lot].generation for lot, _, _ in parts)
        charge.pitched_on = self._desk.diary.today
        self._plan(charge)

    def _plan(self, charge: Charge) -> None:
        beer, diary, dice = charge.beer, self._desk.diary, self._desk.dice
        charge.ready_on = self._day(charge, beer.ready_on)
        if charge.generation < LAST_GENERATION:
            late = beer.filtered and charge.generation == LATE_CROP_GENERATION and charge.brews == 2
            charge.harvest_on = self._day(charge, LATE_CROP_ON if late else beer.harvest_on)
            diary.at(charge.harvest_on, "07:20", partial(self._harvest, charge))
        for after, hop, dose in beer.dry_hops:
            diary.at(self._day(charge, after), "09:10", partial(self._dry_hop, charge, hop, dose))
        diary.at(self._day(charge, 3), "08:10", partial(self._sample, charge, "Gravity and yeast in suspension"))
        diary.at(self._day(charge, beer.ready_on - 1), "08:30", partial(self._sample, charge, "Diacetyl and taste"))
        if dice.chance(0.3):
            diary.at(self._day(charge, beer.ready_on - 2), "16:10", partial(self._gauge, charge))

    def _day(self, charge: Charge, after: int) -> date:
        if charge.pitched_on is None:
            raise LookupError(f"{charge.vessel} is not pitched")
        return cellar_day(charge.pitched_on + timedelta(days=after))

    def _harvest(self, charge: Charge) -> None:
        held = self._desk.book.contents(charge.vessel)
        if held is None:
            raise LookupError(f"{charge.vessel} is empty")
        charge.harvest_on = None
        self._desk.book.post(held.code, charge.vessel, TRANSFORMED, charge.size.crop_volume)
        mass = charge.size.crop + self._desk.dice.between(-5, 5) * KG
        code, brink = self._yeast.crop(charge.beer.strain, charge.generation + 1, mass)
        self._desk.record("harvests", "brewing").row(
            vessel=charge.vessel,
            beer_quantity=written(charge.size.crop_volume, "L"),
            beer_unit="L",
            yeast_lot=code,
            location=brink,
            **self._desk.quantity(mass, "kg"),
        )

    def _dry_hop(self, charge: Charge, hop: str, dose: float) -> None:
        volume = self._desk.book.volume(charge.vessel)
        mass = rounded(volume / L * dose, 100)
        parts = self._store.pick(hop, mass, ("HOPS",))
        record = self._desk.record("additions", "brewing")
        contents = self.renew(charge.vessel, volume)
        for lot, place, amount in parts:
            cells = {"lot": lot, "location": place, **self._desk.quantity(amount, "kg")}
            record.row(vessel=charge.vessel, contents_lot=contents, **cells)
            self._desk.book.post(lot, place, TRANSFORMED, amount)

    def _sample(self, charge: Charge, reason: str) -> None:
        held = self._desk.book.contents(charge.vessel)
        if held and charge in self.charges:
            self._quality.sample(held.code, charge.vessel, 500, "mL", reason)

    def _gauge(self, charge: Charge) -> None:
        held = self._desk.book.contents(charge.vessel)
        found = self._desk.book.volume(charge.vessel) + self._desk.dice.between(-5, 3) * 10 * L
        if held and charge in self.charges and found < PLACES[charge.vessel].capacity - HL:
            self._desk.count(held.code, charge.vessel, found, "hL", "Gauge before racking", "brewing")
