"""Mycotoxins: what European law lets grain for food hold at most, each level with the days on which it is law.

The levels are for raw grain; none for malt as such was found, save for ochratoxin A. Papers still quote superseded
levels. The local code has the last word, and who must be told of a level that is exceeded is its matter.
"""

from dataclasses import dataclass
from datetime import date

from brewery.science.ranges import OutOfRange


@dataclass(frozen=True, slots=True)
class MaximumLevel:
    """The most of a toxin in µg/kg in a food, from a day, and up to the day before `until` where it was superseded."""

    toxin: str
    food: str
    most_ug_kg: float
    source: str
    since: date
    until: date | None = None


_RAW_CEREALS = "unprocessed cereals other than oats, durum, maize and rice"
_NEW_LEVELS = date(2024, 7, 1)
DEOXYNIVALENOL = "deoxynivalenol"
T2_HT2 = "T-2 and HT-2 toxin, sum"
OCHRATOXIN_A = "ochratoxin A"

MAXIMUM_LEVELS = (
    MaximumLevel(
        DEOXYNIVALENOL,
        _RAW_CEREALS,
        1250,
        "foodsafetyportal.eu; the first day from memory",
        date(2007, 3, 1),
        _NEW_LEVELS,
    ),
    MaximumLevel(DEOXYNIVALENOL, _RAW_CEREALS, 1000, "Regulation (EU) 2024/1022", _NEW_LEVELS),
    MaximumLevel(T2_HT2, "unprocessed malting barley", 200, "inside.beer, EU mycotoxin limits", _NEW_LEVELS),
    MaximumLevel(OCHRATOXIN_A, "malt", 3, "from memory, the first day too", date(2007, 3, 1)),
)


def level_on(toxin: str, day: date) -> MaximumLevel:
    """Return the level of a toxin that is law on a day. Raises OutOfRange where none is known here."""
    for level in MAXIMUM_LEVELS:
        if level.toxin == toxin and level.since <= day and (level.until is None or day < level.until):
            return level
    raise OutOfRange("toxin", toxin, f"No level of it is known here for {day}: look up the law of that day.")
