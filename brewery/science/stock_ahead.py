"""Stock ahead: what will lie there day by day, by what is expected, what is planned and what is usually used.

Through the last planned day planned use alone counts; from then on the usual use, whose scatter adds up by its square.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from brewery.science.reordering import Demand, safety_factor


@dataclass(frozen=True, slots=True)
class DayAhead:
    """What is expected at the end of a day, between what it lies, and what comes and goes on it."""

    day: date
    stock: float
    low: float
    high: float
    comes: float
    goes: float


def stock_ahead(
    here: float,
    today: date,
    days: int,
    *,
    comes: Mapping[date, float],
    planned: Mapping[date, float],
    usual: Demand,
    service: float = 0.95,
) -> list[DayAhead]:
    """Return the days from today on. What should have come or gone before today does so today.

    Below nothing is told as it is: so much would be missing. The band holds so many days in a hundred on each side as
    the service level says. Raises OutOfRange for a service level that cannot be.
    """
    factor = safety_factor(service)
    last_planned = max(planned, default=today - timedelta(1))
    found: list[DayAhead] = []
    stock, unplanned = here, 0
    for number in range(days + 1):
        day = today + timedelta(number)
        came = _of(comes, day, is_first=not number)
        went = _of(planned, day, is_first=not number)
        if day > last_planned:
            went += usual.mean
            unplanned += 1
        stock += came - went
        room = factor * usual.spread * math.sqrt(unplanned)
        found.append(DayAhead(day, stock, stock - room, stock + room, came, went))
    return found


def _of(flows: Mapping[date, float], day: date, *, is_first: bool) -> float:
    if is_first:
        return math.fsum(amount for when, amount in flows.items() if when <= day)
    return flows.get(day, 0.0)


def first_short(ahead: Sequence[DayAhead]) -> date | None:
    """Return the first day on which nothing is left, or None."""
    return next((one.day for one in ahead if one.stock < 0), None)


def wanted_through(ahead: Sequence[DayAhead], day: date) -> float:
    """Return what goes from today through a day; of days beyond the last one looked at, as on that."""
    inside = math.fsum(one.goes for one in ahead if one.day <= day)
    beyond = (day - ahead[-1].day).days
    return inside + max(0, beyond) * ahead[-1].goes
