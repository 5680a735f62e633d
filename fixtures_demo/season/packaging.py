"""Packaging: the bright tanks are emptied into kegs and bottles, one run a line and day."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from .beers import BEERS, FORMATS, Beer, packaged
from .book import LOSS, TRANSFORMED
from .days import workday_after
from .desk import Desk
from .materials import code_of
from .places import BRIGHT_TANKS
from .quality import Quality
from .quantities import EACH, HL, L, written
from .store import Part, Store

BOTTLES_A_CASE = 24
PACKAGED_LOTS_HELD = (23, 118)
PACKAGED_LOT_REJECTED = 58
# Contents of one, in thousandths of a litre.
CONTENTS = {form: int(float(litres) * L) for form, (_, litres) in FORMATS.items()}


@dataclass(eq=False)
class Run:
    """One packaging run: a share of a tank's beer, or all that is left of it."""

    tank: str
    beer: Beer
    form: str
    share: float
    code: str = ""
    count: int = 0
    surplus: tuple[Part, ...] = ()

    @property
    def in_bottles(self) -> bool:
        """True if it runs on the bottling line."""
        return self.form == "C24"


class Packaging:
    """Plans runs and carries them out."""

    def __init__(self, desk: Desk, store: Store, quality: Quality) -> None:
        self._desk = desk
        self._store = store
        self._quality = quality
        self._line_days: dict[bool, set[date]] = {True: set(), False: set()}

    def plan(self, tank: str, beer: Beer, wait: int) -> None:
        """Runs are planned that empty the tank, the first of them `wait` workdays from now at the earliest."""
        forms = self._forms(beer, self._desk.book.volume(tank))
        day = workday_after(self._desk.diary.today, wait - 1) if wait > 1 else self._desk.diary.today
        for left, form in zip(range(len(forms), 0, -1), forms, strict=True):
            run = Run(tank, beer, form, 1 / left)
            day = self._free_day(run, day)
            for clock, step in {"06:50": self._start, "13:20": self._give_back, "14:10": self._fill}.items():
                self._desk.diary.at(day, clock, partial(step, run))

    def leave_under_way(self) -> None:
        """A keg run of a full bright tank is started, and the season ends before it is filled."""
        for tank in BRIGHT_TANKS:
            held = self._desk.book.contents(tank)
            if held:
                beer = next(beer for beer in BEERS if beer.name == held.material)
                self._start(Run(tank, beer, "K30", 0.5))
                return

    def _free_day(self, run: Run, after: date) -> date:
        day = workday_after(after)
        while day in self._line_days[run.in_bottles]:
            day = workday_after(day)
        self._line_days[run.in_bottles].add(day)
        return day

    def _forms(self, beer: Beer, volume: int) -> list[str]:
        if beer.code == "QL" and volume > 90 * HL:
            return ["K50", "C24", "K30", "C24"] if volume > 120 * HL else ["K50", "C24", "K30"]
        if volume > 70 * HL and "C24" in beer.formats:
            return ["K30", "C24", "K30"] if beer.code != "QL" else ["K30", "C24"]
        if beer.code == "DL":
            return ["K50", "K30"]
        return ["K30", "C24"] if "C24" in beer.formats else ["K30"]

    def _start(self, run: Run) -> None:
        run.code = self._desk.code("RUN")
        self._desk.record("packaging_runs", "brewing").row(run=run.code, beer=code_of(run.beer.name))
        run.count = self._count(run)
        parts = self._bottle_parts(run) if run.in_bottles else self._keg_parts(run)
        self._store.draw(run.code, parts, "brewing")

    def _count(self, run: Run) -> int:
        volume = int(self._desk.book.volume(run.tank) * run.share)
        wasted = self._desk.dice.between(14, 22) if run.in_bottles else self._desk.dice.between(7, 12)
        return int(volume * (1000 - wasted) / 1000) // CONTENTS[run.form]

    def _keg_parts(self, run: Run) -> list[Part]:
        amount = (run.count + self._desk.dice.between(0, 4)) * EACH
        return [part for name in ("Keg cap, tamper-evident", "Keg label, blank") for part in self._pick(name, amount)]

    def _bottle_parts(self, run: Run) -> list[Part]:
        """Bottles with their breakage, whole boxes of crowns and whole rolls of labels, and cartons."""
        bottles = run.count * BOTTLES_A_CASE
        broken = bottles * self._desk.dice.between(2, 6) // 1000
        parts = self._pick("Bottle 0.33 L, brown", (bottles + broken) * EACH)
        parts += self._pick("Carton 24 x 0.33 L", (run.count + self._desk.dice.between(0, 3)) * EACH)
        for name in ("Crown cork 26 mm, plain", f"Bottle label, {run.beer.name}"):
            used = bottles + bottles * self._desk.dice.between(2, 8) // 1000
            whole = self._pick(name, -(-used // 1000) * 1000 * EACH)
            run.surplus += self._rest(whole, sum(amount for _, _, amount in whole) - used * EACH)
            parts += whole
        return parts

    def _rest(self, parts: list[Part], amount: int) -> tuple[Part, ...]:
        """The unused rest, taken from the parts that were opened last."""
        rest = []
        for lot, place, held in reversed(parts):
            back = min(held, amount)
            if back:
                rest.append((lot, place, back))
                amount -= back
        return tuple(rest)

    def _give_back(self, run: Run) -> None:
        if run.surplus:
            self._store.give_back(run.code, run.surplus, "Open boxes and rolls back on the shelf")

    def _fill(self, run: Run) -> None:
        book = self._desk.book
        held = book.at(run.tank)[0][0].code
        filled = run.count * CONTENTS[run.form]
        loss = self._loss(run, book.volume(run.tank) - filled, filled)
        lot = f"{run.beer.code}-{run.form}-{run.code[4:]}"
        place = "CASES" if run.in_bottles else "KEGS"
        best_before = f"{self._desk.diary.today + timedelta(days=run.beer.keeps_days)}"
        self._desk.record("packagings", "brewing").row(
            run=run.code,
            vessel=run.tank,
            material=code_of(packaged(run.beer, run.form)),
            packaged_lot=lot,
            count=str(run.count),
            loss=written(loss, "L"),
            loss_unit="L",
            location=place,
            best_before=best_before,
        )
        for part, amount in book.at(run.code):
            book.post(part.code, run.code, TRANSFORMED, amount)
        book.post(held, run.tank, TRANSFORMED, filled)
        book.post(held, run.tank, LOSS, loss)
        book.make(lot, packaged(run.beer, run.form), "released", best_before=best_before)
        book.post(lot, TRANSFORMED, place, run.count * EACH)
        self._check(run, lot, place)

    def _loss(self, run: Run, left: int, filled: int) -> int:
        """All that is left if the tank is to be empty, else what the filler wastes."""
        return left if run.share == 1 else filled * self._desk.dice.between(6, 12) // 1000

    def _check(self, run: Run, lot: str, place: str) -> None:
        number = int(run.code[4:])
        if run.in_bottles:
            self._desk.diary.after(15, partial(self._quality.retain_case, lot, place))
        if number in (*PACKAGED_LOTS_HELD, PACKAGED_LOT_REJECTED):
            passes = number in PACKAGED_LOTS_HELD
            self._desk.diary.after(40, partial(self._quality.hold_packaged, lot, place, passes=passes))

    def _pick(self, material: str, amount: int) -> list[Part]:
        return self._store.pick(material, amount, ("PACK",))
