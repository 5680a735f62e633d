"""The clerk: papers that follow from the season's records are entered in minutes that no other record has."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from .dice import Dice
from .paper import RECORDS, Paper
from .people import on_shift


@dataclass(eq=False)
class Entry:
    """One record to be written: when, by whom, its lines, and the earlier entry that it puts right."""

    file: str
    when: datetime
    role: str
    rows: Sequence[dict[str, str]]
    replaces: "Entry | None" = None
    number: str = ""


class Clerk:
    """Writes entries into the papers in the order of time."""

    def __init__(self, paper: Paper) -> None:
        self._paper = paper
        told = (row["happened_at"] for file in RECORDS for row in paper.rows[file])
        self._taken = {datetime.fromisoformat(moment) for moment in told}

    def enter(self, entries: Iterable[Entry]) -> None:
        """Every entry is a record of its file; each has a minute of its own, at its time or just after."""
        for entry in sorted(entries, key=lambda entry: entry.when):
            moment = self._minute(entry.when)
            record = self._paper.record(entry.file, moment, on_shift(entry.role, moment.isocalendar().week))
            entry.number = record.number
            replaced = {"replaces": entry.replaces.number} if entry.replaces else {}
            for row in entry.rows:
                record.row(**row, **replaced)

    def _minute(self, moment: datetime) -> datetime:
        while moment in self._taken:
            moment += timedelta(minutes=1)
        self._taken.add(moment)
        return moment


def scattered(dice: Dice, mean: float, spread: float, step: float) -> str:
    """A figure about the mean, by the sum of three dice: a plain decimal in whole steps, seldom beyond `spread`."""
    off = sum(dice.between(-1000, 1000) for _ in range(3)) / 3000
    return plain(mean + 1.6 * off * spread, step)


def plain(value: float, step: float) -> str:
    """The value in whole steps, as a plain decimal."""
    steps = round(value / step)
    return f"{steps * step:.6f}".rstrip("0").rstrip(".")
