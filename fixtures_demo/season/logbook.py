"""The logbook of the brewhouse: by which sheet each brew was brewed, why it was drawn otherwise, and what was read."""

import math
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from .brew_sheets import BEER_OF, BITTERING_MINUTES, Sheet, sheet_for
from .clerk import Entry, plain, scattered
from .days import END
from .dice import Dice
from .materials import MATERIALS
from .paper import Paper
from .quantities import KG, THOUSANDTHS, L

TOO_HOT, BOILED_SHORT, MISREAD = "BR-047", "BR-062", "BR-018"
WHOLE_BOXES = "Whole boxes went up to the kettle; the rest comes back weighed"
_NAMES = {material.code: name for name, material in MATERIALS.items()}
_SWELLS = 1.0417
"""Wort near boiling takes so much more room than cold: 4 % less on cooling (common practice)."""

Row = dict[str, str]


@dataclass
class Day:
    """One brew as its papers tell of it: kg by material and, of hops, by lot too; litres that were knocked out."""

    code: str
    sheet: Sheet
    started: datetime
    masses: dict[str, float]
    hops: dict[tuple[str, str], float]
    litres: float = 0.0
    tanks: set[str] = field(default_factory=set)
    original: float = 0.0
    attenuation: float = 0.0

    @property
    def knocked_out(self) -> datetime:
        """When its wort lay in the tank."""
        return self.started + timedelta(hours=8)


class Logbook:
    """Completes the papers of the brews, and reads what is to be read."""

    def __init__(self, paper: Paper, dice: Dice, alpha_of: Callable[[str], float]) -> None:
        self._paper = paper
        self._dice = dice
        self._alpha_of = alpha_of
        self._lots = {row["lot"]: row["material"] for row in paper.rows["deliveries"]}
        self._lots |= {row["contents_lot"]: row["material"] for row in paper.rows["deliveries"] if row["contents_lot"]}
        self._days = {row["brew"]: self._day(row) for row in paper.rows["brews"]}

    def complete(self) -> None:
        """Brews name their sheet, and draws that are not what it asks for say why."""
        for row in self._paper.rows["brews"]:
            row["sheet_version"] = str(self._days[row["brew"]].sheet.version)
        mistakes = {row["reverses_record"] for row in self._paper.rows["reversals"]}
        drawn: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        records: dict[str, list[Row]] = defaultdict(list)
        for row in self._paper.rows["draws"]:
            if row["into"] in self._days:
                records[row["record"]].append(row)
        for record, rows in records.items():
            self._explain(rows, drawn[rows[0]["into"]])
            for row in rows if record not in mistakes else ():
                self._days[row["into"]].masses[_NAMES[self._lots[row["lot"]]]] += _thousandths(row) / KG
                self._note_hops(row, 1)
        for row in self._paper.rows["returns_to_stock"]:
            if row["out_of"] in self._days:
                self._note_hops(row, -1)
        for row in self._paper.rows["knock_outs"]:
            if row["vessel"] != "loss":
                self._days[row["brew"]].litres += _thousandths(row) / L
                self._days[row["brew"]].tanks.add(row["vessel"])

    def entries(self) -> Iterator[Entry]:
        """Yield the readings of every brew, as far as it has come."""
        for day in self._days.values():
            yield from self._readings(day)

    def brews_in(self, tank: str, since: date, until: datetime) -> list[Day]:
        """The brews whose wort went into the tank from that day on, and was in by then."""
        days = [day for day in self._days.values() if tank in day.tanks and day.started.date() >= since]
        return [day for day in days if day.knocked_out <= until]

    def _day(self, row: Row) -> Day:
        started = datetime.fromisoformat(row["happened_at"])
        sheet = sheet_for(BEER_OF[row["beer"]], started)
        day = Day(row["brew"], sheet, started, defaultdict(float), defaultdict(float))
        day.original, day.attenuation = sheet.original, sheet.attenuation
        return day

    def _note_hops(self, row: Row, sign: int) -> None:
        name = _NAMES[self._lots[row["lot"]]]
        if MATERIALS[name].kind == "hop":
            brew = row.get("into") or row["out_of"]
            self._days[brew].hops[name, row["lot"]] += sign * _thousandths(row) / KG

    def _explain(self, rows: list[Row], drawn: dict[str, int]) -> None:
        sheet = self._days[rows[0]["into"]].sheet
        asked = sheet.asked()
        for row in rows:
            name = _NAMES[self._lots[row["lot"]]]
            if name not in asked and MATERIALS[name].kind == "hop":
                row["stands_in_for"] = MATERIALS[next(iter(sheet.beer.bittering))].code
                row["stands_in_because"] = "Taken for it by the colour of the label"
                return
            drawn[name] += _thousandths(row)
        names = {_NAMES[self._lots[row["lot"]]] for row in rows}
        if any(drawn[name] > asked[name] * 1.0199 for name in names if name in asked):
            for row in rows:
                row["reason"] = WHOLE_BOXES

    def _readings(self, day: Day) -> Iterator[Entry]:
        dice, sheet = self._dice, day.sheet
        off = 3.5 if day.code == TOO_HOT else 0.0
        for minutes, rest in zip((55, 90, 140), sheet.rests, strict=False):
            warmth = rest + (off if minutes == 90 else 0)
            yield self._read(day, minutes, "mash", "temperature", scattered(dice, warmth, 0.5, 0.1))
        yield self._read(day, 75, "mash", "ph", scattered(dice, 5.42, 0.06, 0.01))
        if off:
            words = "Steam valve hung: the rest ran too hot for a quarter of an hour"
            yield self._entry(day, 96, {"step": "mash", "words": words})
        if day.litres:
            yield from self._wort(day)

    def _wort(self, day: Day) -> Iterator[Entry]:
        dice = self._dice
        grain = sum(mass for name, mass in day.masses.items() if MATERIALS[name].kind in ("malt", "adjunct"))
        share = float(scattered(dice, day.sheet.yield_pct, 0.8, 0.01)) / 100
        evaporation = float(scattered(dice, 6.5, 0.35, 0.01)) / 100
        litres = day.litres
        if day.code == BOILED_SHORT:
            evaporation, share = 0.048, share * 0.955
        original = _plato(grain * share, litres)
        day.original = original
        out = litres * 1.012
        full = out / (1 - evaporation)
        first = 76 * grain / (0.8 * grain + 4600)
        yield self._read(day, 195, "first_wort", "gravity", scattered(dice, first, 0.3, 0.1))
        yield self._read(day, 262, "last_runnings", "gravity", scattered(dice, 2.4, 0.5, 0.1))
        yield from self._kettle_full(day, full)
        yield self._read(day, 276, "kettle_full", "gravity", scattered(dice, original * out / full, 0.06, 0.05))
        if day.code == BOILED_SHORT:
            words = "Boil stopped at 48 minutes: no steam, the boiler house had tripped"
            yield self._entry(day, 340, {"step": "boil", "words": words})
        yield self._read(day, 366, "cast_out", "volume", plain(out * _SWELLS, 10), hot="yes")
        yield self._read(day, 368, "cast_out", "gravity", scattered(dice, original, 0.05, 0.05))
        yield self._read(day, 390, "whirlpool", "temperature", scattered(dice, 94, 2, 0.5))
        yield self._read(day, 471, "knock_out", "volume", plain(litres, 10))
        yield self._read(day, 473, "knock_out", "gravity", plain(original, 0.05))
        yield self._read(day, 475, "knock_out", "ph", scattered(dice, 5.2, 0.06, 0.01))
        warmth = day.sheet.cellar[0][1]
        yield self._read(day, 479, "pitched", "temperature", scattered(dice, warmth, 0.5, 0.1))
        yield self._read(day, 481, "pitched", "oxygen", scattered(dice, 8.9, 0.5, 0.1))
        yield from self._finished(day, original)

    def _kettle_full(self, day: Day, full: float) -> Iterator[Entry]:
        volume = plain(full * _SWELLS, 10)
        if day.code != MISREAD:
            yield self._read(day, 274, "kettle_full", "volume", volume, hot="yes")
            return
        wrong = self._read(day, 274, "kettle_full", "volume", plain(full * _SWELLS + 500, 10), hot="yes")
        yield wrong
        right = self._read(day, 299, "kettle_full", "volume", volume, hot="yes", reason="Read one mark too high")
        right.replaces = wrong
        yield right

    def _finished(self, day: Day, original: float) -> Iterator[Entry]:
        dice, sheet = self._dice, day.sheet
        ready = day.started + timedelta(days=sheet.beer.ready_on + 2)
        if ready.date() > END:
            return
        attenuation = float(scattered(dice, sheet.attenuation, 0.7, 0.01)) - (5.5 if day.code == TOO_HOT else 0)
        day.attenuation = attenuation
        told = {
            "gravity": plain(original * (1 - attenuation / 100), 0.05),
            "ph": scattered(dice, 4.4, 0.08, 0.01),
            "bitterness": scattered(dice, self._bitterness(day, original) * 0.94, 0.9, 0.5),
            "colour": scattered(dice, sheet.colour, sheet.colour * 0.04, 0.1 if sheet.colour < 30 else 1),
        }
        minutes = int((ready - day.started).total_seconds()) // 60 + 290
        for place, (measured, value) in enumerate(told.items()):
            yield self._read(day, minutes + place, "finished", measured, value)

    def _bitterness(self, day: Day, original: float) -> float:
        """What the hops that were drawn bring: the boil by the table, the whirlpool by its warmth."""
        asked, (stage, minutes, warmth) = day.sheet.beer.bittering, day.sheet.late
        late = _isomerised(minutes, float(warmth)) if stage == "whirlpool" else _table(minutes) / _table(60)
        grams = 0.0
        left = {hop: mass / KG for hop, mass in asked.items()}
        for (hop, lot), mass in day.hops.items():
            early = min(left.get(hop, 0.0), mass)
            left[hop] = left.get(hop, 0.0) - early
            grams += (early + (mass - early) * late) * self._alpha_of(lot) * 10
        return grams * _table(BITTERING_MINUTES) * 0.000125 ** (0.0039 * original) * 1000 / day.litres

    def _read(self, day: Day, minutes: int, step: str, measured: str, value: str, **more: str) -> Entry:
        return self._entry(day, minutes, {"step": step, "property": measured, "value": value, **more})

    def _entry(self, day: Day, minutes: int, cells: Row) -> Entry:
        return Entry("brew_log", day.started + timedelta(minutes=minutes), "brewing", [{"brew": day.code, **cells}])


def _thousandths(row: Row) -> int:
    whole, _, rest = row["quantity"].partition(".")
    return (int(whole) * 1000 + int(f"{rest:0<3}")) * THOUSANDTHS[row["unit"]] // 1000


def _plato(extract_kg: float, litres: float) -> float:
    """The extract in % by weight, by a density that suits wort from 5 to 20 °P."""
    plato = 12.0
    for _ in range(20):
        plato = extract_kg / (litres * 0.9982 * (1 + plato / (258.6 - 0.88 * plato))) * 100
    return plato


def _table(minutes: float) -> float:
    return 1.65 / 4.15 * (1 - math.exp(-0.04 * minutes))


def _isomerised(minutes: float, warmth_c: float) -> float:
    """How far the whirlpool isomerises, as a part of an hour's boil: Malowicki and Shellhammer, 11858 K."""
    rate = 7.9e11 * math.exp(-11858 / (warmth_c + 273.15))
    boil = 7.9e11 * math.exp(-11858 / 373.15)
    return (1 - math.exp(-rate * minutes)) / (1 - math.exp(-boil * 60))
