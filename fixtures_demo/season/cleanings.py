"""Cleanings: between two uses every tank and brink is cleaned, but for a few that are filled as they are, and why.

Told when the season is over, with chance of its own, so that nothing else depends on it.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from .book import Turn
from .dice import Dice
from .paper import Paper
from .people import on_shift
from .places import PLACES

SEED = 20260405
PROGRAMMES = {
    "FV": "Caustic 2 %, 75 C, rinse, acid, rinse, disinfect",
    "BT": "Acid under carbon dioxide, rinse, disinfect",
    "BRINK": "Caustic 1 %, 70 C, rinse, steam",
}
UNCLEAN_FROM = date(2026, 5, 26)
AT_ONCE = "Brink needed at once for a fresh crop, rinsed hot only"
UNCLEAN = {
    "knock_outs": "Cleaning pump down, rinsed hot twice instead",
    "filtrations": "Rinsed hot only, the tank was needed at once",
}
SHORTEST = timedelta(minutes=30)
LOT = {"harvests": "yeast_lot", "knock_outs": "wort_lot", "filtrations": "contents_lot"}
FORMAT = "%Y-%m-%d %H:%M"


def complete(paper: Paper, turns: Sequence[Turn]) -> None:
    """The papers hold a cleaning before every refill, or the reason why there was none."""
    dice = Dice(SEED)
    taken = {row["happened_at"] for rows in paper.rows.values() for row in rows if "happened_at" in row}
    left = dict(UNCLEAN)
    done = []
    for vessel, emptied, filled, lot in _refills(turns):
        if filled - emptied < SHORTEST:
            _tell_unclean(paper, lot, {"harvests": AT_ONCE})
            continue
        if filled.date() >= UNCLEAN_FROM and _tell_unclean(paper, lot, left):
            continue
        done.append((_minute_between(emptied, filled, dice, taken), vessel))
    for when, vessel in sorted(done):
        record = paper.record("cleanings", when, on_shift("brewing", when.isocalendar().week))
        record.row(vessel=vessel, programme=PROGRAMMES[vessel.rstrip("0123456789")])


def _refills(turns: Sequence[Turn]) -> Iterator[tuple[str, datetime, datetime, str]]:
    """Yield each vessel with when it was emptied, when it was filled again, and with what."""
    emptied: dict[str, datetime] = {}
    for turn in turns:
        if not turn.filled_with:
            emptied[turn.vessel] = turn.moment
        else:
            since = emptied.pop(turn.vessel, None)
            # In a tank, what leaves and comes in the same minute is the same beer, under the code of its new contents.
            if since and (since < turn.moment or PLACES[turn.vessel].kind == "brink"):
                yield turn.vessel, since, turn.moment, turn.filled_with


def _tell_unclean(paper: Paper, lot: str, left: dict[str, str]) -> bool:
    """Whether the record that filled the vessel, into that one alone, now bears the next reason of its file."""
    for file, reason in left.items():
        rows = [row for row in paper.rows[file] if row[LOT[file]] == lot]
        if rows and len({row.get("vessel") for row in rows} - {"loss"}) == 1:
            for row in rows:
                row["unclean_reason"] = reason
            del left[file]
            return True
    return False


def _minute_between(emptied: datetime, filled: datetime, dice: Dice, taken: set[str]) -> datetime:
    """Return a minute that no other record has, soon after the vessel was emptied and before it is filled."""
    latest = filled - timedelta(minutes=5)
    when = min(emptied + timedelta(minutes=dice.between(40, 110)), latest)
    while f"{when:{FORMAT}}" in taken:
        when -= timedelta(minutes=1)
    taken.add(f"{when:{FORMAT}}")
    return when
