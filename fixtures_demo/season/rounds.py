"""The cellar's morning rounds: which tank held what, and what was read of it."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import chain

from .beers import BEERS, Beer
from .brew_sheets import sheet_for
from .cellar import Cellar
from .clerk import Entry, plain, scattered
from .days import moment
from .desk import Desk
from .dice import Dice
from .logbook import Day, Logbook
from .places import BRIGHT_TANKS

ROUND, PITCHED_AT = "07:45", "15:05"
STUCK, STOOD_FROM, STOOD_UNTIL = "BR-032", 1.2, 4.4
"""The brew that stood still, and the days after its knock-out between which it did."""
MISREAD_ON = date(2026, 6, 16)
HALF_GONE_DAYS = {"Lager yeast Q1": 3.4, "Ale yeast Q2": 1.5, "Wheat yeast Q3": 1.4, "Stout yeast Q4": 1.7}
"""Days from pitching until half of the fermentable extract is gone, as the brewery knows its strains."""


@dataclass(frozen=True)
class Seen:
    """One tank with beer in it on one morning; nothing was pitched in a bright tank."""

    when: datetime
    vessel: str
    beer: Beer
    pitched_on: date | None

    @property
    def age(self) -> float:
        """Days since pitching."""
        return (self.when - moment(self.pitched_on, PITCHED_AT)) / timedelta(days=1) if self.pitched_on else 0.0


class Rounds:
    """Walks through the cellar in the morning and looks, while the season goes on."""

    def __init__(self, desk: Desk, cellar: Cellar) -> None:
        self._desk = desk
        self._cellar = cellar
        self.seen: list[list[Seen]] = []

    def walk(self) -> None:
        """What lies in the tanks this morning is noted."""
        now, book = self._desk.diary.now, self._desk.book
        fermenting = [
            Seen(now, charge.vessel, charge.beer, charge.pitched_on)
            for charge in sorted(self._cellar.charges, key=lambda charge: charge.vessel)
            if charge.pitched_on and book.contents(charge.vessel)
        ]
        bright = [(tank, held) for tank in BRIGHT_TANKS if (held := book.contents(tank))]
        beers = {beer.name: beer for beer in BEERS}
        self.seen.append([*fermenting, *(Seen(now, tank, beers[held.material], None) for tank, held in bright)])


class TankBook:
    """Writes down what was read on the rounds."""

    def __init__(self, rounds: Rounds, logbook: Logbook, dice: Dice) -> None:
        self._rounds = rounds
        self._logbook = logbook
        self._dice = dice

    def entries(self) -> Iterator[Entry]:
        """Yield one record a morning, with a line for each property that was read in each tank."""
        for seen in self._rounds.seen:
            rows = list(chain.from_iterable(self._lines(one) for one in seen))
            if rows and seen[0].when.date() == MISREAD_ON:
                yield from self._misread(seen[0].when, rows)
            elif rows:
                yield Entry("tank_readings", seen[0].when, "brewing", rows)

    def _lines(self, one: Seen) -> Iterator[dict[str, str]]:
        brews = self._logbook.brews_in(one.vessel, one.pitched_on, one.when) if one.pitched_on else []
        remark = _remark(brews, one.when)
        for measured, value in self._fermenting(one, brews) if one.pitched_on else self._bright():
            words = {"remark": remark} if remark and measured == "temperature" else {}
            yield {"vessel": one.vessel, "property": measured, "value": value, **words}

    def _misread(self, when: datetime, rows: list[dict[str, str]]) -> Iterator[Entry]:
        place = next(place for place, row in enumerate(rows) if row["property"] == "gravity")
        right = rows[place]
        rows[place] = right | {"value": plain(float(right["value"]) + 1.5, 0.05)}
        wrong = Entry("tank_readings", when, "brewing", rows)
        yield wrong
        again = right | {"reason": "Read through the foam"}
        yield Entry("tank_readings", when + timedelta(minutes=20), "brewing", [again], replaces=wrong)

    def _bright(self) -> Iterator[tuple[str, str]]:
        yield "temperature", scattered(self._dice, 1.5, 0.5, 0.1)
        yield "co2", scattered(self._dice, 5.0, 0.25, 0.05)
        yield "oxygen", scattered(self._dice, 0.04, 0.025, 0.005)

    def _fermenting(self, one: Seen, brews: list[Day]) -> Iterator[tuple[str, str]]:
        dice, day = self._dice, int(one.age)
        yield "temperature", scattered(dice, _warmth(one) - _chill(brews, one.when), 0.35, 0.1)
        half = HALF_GONE_DAYS[one.beer.strain]
        lefts = [_left(_working_days(brew, one.when), half) for brew in brews]
        left = sum(lefts) / len(lefts)
        if left > 0.01 or day % 3 == 0:
            gravity = sum(_gravity(brew, part) for brew, part in zip(brews, lefts, strict=True)) / len(brews)
            yield "gravity", scattered(dice, gravity, 0.06, 0.05)
        if day % 3 == 1:
            yield "ph", scattered(dice, 4.38 + 0.8 * left, 0.05, 0.01)
        if one.age > one.beer.ready_on - 5 and day % 2 == 0:
            yield "diacetyl", plain(max(0.02, 0.05 + 0.2 * math.exp(5 - one.age) + dice.between(-15, 15) / 1000), 0.01)
        if one.age > one.beer.ready_on - 2:
            yield "co2", scattered(dice, 3.2 if one.beer.filtered else 2.6, 0.15, 0.05)


def _gravity(brew: Day, left: float) -> float:
    return brew.original * (1 - brew.attenuation / 100 * (1 - left))


def _age(brew: Day, when: datetime) -> float:
    return (when - brew.knocked_out) / timedelta(days=1)


def _working_days(brew: Day, when: datetime) -> float:
    """For how many days the yeast has been at work on it."""
    age = _age(brew, when)
    stood = min(max(age - STOOD_FROM, 0.0), STOOD_UNTIL - STOOD_FROM) if brew.code == STUCK else 0.0
    return age - stood


def _chill(brews: list[Day], when: datetime) -> float:
    """How much colder the tank is than it should be, in °C: the valve hung open for a night, and warming takes days."""
    age = next((_age(brew, when) for brew in brews if brew.code == STUCK), 0.0)
    return max(0.0, 7 - 2.5 * (age - STOOD_FROM)) if age > STOOD_FROM else 0.0


def _remark(brews: list[Day], when: datetime) -> str:
    age = next((_age(brew, when) for brew in brews if brew.code == STUCK), 0.0)
    if STOOD_FROM < age < STOOD_FROM + 1:
        return "Cooling valve hung open over night; closed by hand"
    if STOOD_UNTIL - 1 < age < STOOD_UNTIL:
        return "Roused with carbon dioxide, warm again"
    return ""


def _left(age: float, half: float) -> float:
    """The part of the fermentable extract that is left: a logistic curve that starts at all of it."""
    steep = 3.3 / half
    return min(1.0, (1 + math.exp(-steep * half)) / (1 + math.exp(steep * (age - half))))


def _warmth(one: Seen) -> float:
    """The temperature of the sheet on that day; a tank takes a day from one step to the next."""
    begun, before = 0.0, None
    for _, warmth, days in sheet_for(one.beer, one.when).cellar:
        if one.age < begun + days:
            way = 1.0 if before is None else min(1.0, one.age - begun)
            return warmth if before is None else before + (warmth - before) * way
        begun, before = begun + days, warmth
    return before or 0.0
