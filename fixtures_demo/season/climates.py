"""Climates: what the loggers of the cold stores read twice a day, and what those stores must keep to."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from .clerk import Entry, scattered
from .days import ALL_DAYS
from .dice import Dice
from .places import PLACES
from .standards import WARMTHS

_LIMITS = {"HOPS": ("0", "6"), "KEGS": ("2", "8"), "DOCK": ("2", "10"), "BRINK1": ("0", "4")}
_LOGGERS = {"HOPS": "L-01", "KEGS": "L-02", "DOCK": "L-03"}
_CLOCKS = (time(6, 0), time(18, 0))
_AFTERNOON = (datetime(2026, 8, 12, 14, 0), datetime(2026, 8, 12, 16, 0), datetime(2026, 8, 12, 17, 30))
"""The door of the hop store stood open for an afternoon: its logger was read out more often than twice that day."""
_DOOR_OPEN = ("9.5", "11.2", "10.4")
_ON_THE_BENCH = datetime(2026, 6, 17, 6, 0)
"""The battery of the keg store's logger was changed in the workshop: what it read there does not count."""


def climates(dice: Dice) -> Iterator[Entry]:
    """Yield the limits, and each Monday what the loggers read in the week before."""
    for place, (least, most) in _LIMITS.items():
        row = {"location": place, "least_c": least, "most_c": most, "tolerated_minutes": "90"}
        silent = {"silent_minutes": "2160"} if place in _LOGGERS else {}
        yield Entry("climate_limits", datetime(2026, 2, 16, 11, 0), "quality", [row | silent])
    mondays = [day for day in ALL_DAYS[1:] if day.weekday() == 0]
    for since, until in zip([ALL_DAYS[0], *mondays], [*mondays, ALL_DAYS[-1]], strict=True):
        for place, logger in _LOGGERS.items():
            moments = list(_moments(place, since, until))
            rows = [{"location": place, "logger": logger, **_read(place, moment, dice)} for moment in moments]
            yield Entry("climate_readings", datetime.combine(until, time(7, 10)), "receiving", rows)
    moment = f"{_ON_THE_BENCH:%Y-%m-%d %H:%M}"
    meant = {"location": "KEGS", "logger": _LOGGERS["KEGS"], "first_at": moment, "last_at": moment}
    why = {"reason": "Its battery was being changed in the workshop"}
    yield Entry("climate_corrections", datetime(2026, 6, 22, 9, 20), "quality", [meant | why])


def _moments(place: str, since: date, until: date) -> Iterator[datetime]:
    days = (since + timedelta(days=count) for count in range((until - since).days))
    for day in days:
        moments = [datetime.combine(day, clock) for clock in _CLOCKS]
        yield from sorted([*moments, *(one for one in _AFTERNOON if place == "HOPS" and one.date() == day)])


def _read(place: str, moment: datetime, dice: Dice) -> dict[str, str]:
    told = {"read_at": f"{moment:%Y-%m-%d %H:%M}"}
    if place == "HOPS" and moment in _AFTERNOON:
        return told | {"temperature_c": _DOOR_OPEN[_AFTERNOON.index(moment)]}
    kept = [warmth for where, warmth, since in WARMTHS if where == place and since <= moment]
    found = scattered(dice, float(kept[-1] if kept else PLACES[place].warmth), 0.25, 0.1)
    is_wrong = place == "KEGS" and moment == _ON_THE_BENCH
    return told | {"temperature_c": "21.4" if is_wrong else found}
