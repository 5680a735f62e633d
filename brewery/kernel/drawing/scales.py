"""Scales: between which round figures an axis of values runs, and at which moments an axis of time is marked."""

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from math import ceil, floor, log10

TICKS = 4
MOST_MOMENTS = 7
_STEP_HOURS = (1, 2, 3, 6, 12, 24, 48, 96, 168, 336, 672, 1344, 2688, 4032, 8760)
_DAY_HOURS = 24


def bounds(told: Sequence[float]) -> tuple[float, float]:
    """Return where the scale begins and ends: at round figures, and never below nothing without need."""
    low, high = min(told, default=0), max(told, default=1)
    room = (high - low) * 0.05 or max(1, abs(high)) * 0.05
    step = round_step((high - low + 2 * room) / TICKS)
    begins = floor((max(0, low - room) if low >= 0 else low - room) / step) * step
    return begins, begins + ceil((high + room - begins) / step) * step


def round_step(least: float) -> float:
    """Return the least of 1, 2, 2.5 and 5 times a power of ten that is not below `least`."""
    power = 10.0 ** floor(log10(least))
    return next(factor * power for factor in (1, 2, 2.5, 5, 10) if factor * power >= least * (1 - 1e-9))


def moments_between(since: datetime, until: datetime) -> list[datetime]:
    """Return up to seven round moments: full hours, or midnights by the clock of `since`'s time zone."""
    span_hours = (until - since).total_seconds() / 3600
    step = next((one for one in _STEP_HOURS if span_hours / one <= MOST_MOMENTS - 1), _STEP_HOURS[-1])
    midnight = datetime.combine(since.date(), time(), since.tzinfo)
    # Python adds to the wall clock, so that midnight stays midnight when the clocks change.
    found, moment = [], midnight
    while moment <= until:
        if moment >= since:
            found.append(moment)
        moment += timedelta(hours=step)
    return found[:: -(-len(found) // MOST_MOMENTS) or 1]


def moment_label(moment: datetime, since: datetime, until: datetime) -> str:
    """Return a moment of an axis in short: the hour where the axis is short, and the day."""
    is_short = until - since < timedelta(hours=2 * _DAY_HOURS)
    return f"{moment:%H:%M}" if is_short and moment.time() != time() else f"{moment.day} {moment:%b}"


def figure(value: float) -> str:
    """Return a value as an axis tells it: four digits, and large ones whole, their thousands set apart."""
    return f"{value:,.0f}".replace(",", "\u2009") if abs(value) >= 1000 else f"{value:.4g}"
