"""Reordering: how much is used, how long a delivery takes, and from both when and how much to order.

The reorder point of a stock that is looked at every so often covers what is used until a delivery comes, and a safety
stock for the scatter of both: Silver, Pyke and Peterson, Inventory Management and Production Planning and Scheduling,
chapter 7; Snyder and Shen, Fundamentals of Supply Chain Theory, chapter 4 (both from memory). It holds where use of one
day says nothing of the next and the sum of many days scatters normally; what brews plan is known, and scatters less.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean, stdev

from brewery.science.ranges import DAYS, OutOfRange, Range

SERVICE = Range(
    0.5, 0.9999, "", "A share of order cycles without a stock-out, such as 0.95; all of them is never sure."
)
RATE = Range(0, math.inf, "per day", "Look up what was used.")
SPREAD = Range(0, math.inf, "", "A spread is never below nothing.")
FEWEST_DELIVERIES = 3
USUAL_LEAD_SPREAD = 0.25
"""The spread of a lead time that is only promised, as a part of it: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Demand:
    """What is used a day on the average, and the standard deviation of a day, in any unit."""

    mean: float
    spread: float

    def __post_init__(self) -> None:
        RATE.check("mean", self.mean)
        SPREAD.check("spread", self.spread)


@dataclass(frozen=True, slots=True)
class LeadTime:
    """Days from order to delivery on the average, their standard deviation, and of how many deliveries that is."""

    days: float
    spread: float
    deliveries: int = 0

    def __post_init__(self) -> None:
        DAYS.check("days", self.days)
        SPREAD.check("spread", self.spread)


def demand_of(daily: Sequence[float]) -> Demand:
    """Return the mean and the spread of what was used day by day, days without use among them.

    Raises OutOfRange for less than two days, or where less than nothing was used of all.
    """
    if len(daily) < 2:
        raise OutOfRange("daily", len(daily), "Two days or more tell of a scatter.")
    return Demand(max(0.0, fmean(daily)), stdev(daily))


def lead_time_of(observed: Sequence[float], promised: float) -> LeadTime:
    """Return the lead time by deliveries, or as promised where fewer than three came. Raises OutOfRange."""
    if len(observed) < FEWEST_DELIVERIES:
        return LeadTime(promised, promised * USUAL_LEAD_SPREAD, len(observed))
    return LeadTime(fmean(observed), stdev(observed), len(observed))


def safety_factor(service: float) -> float:
    """Return how many standard deviations a service level asks for: 1.645 for 0.95. Raises OutOfRange."""
    SERVICE.check("service", service)
    return NormalDist().inv_cdf(service)


def safety_stock(demand: Demand, lead: LeadTime, service: float, review_days: float = 0.0) -> float:
    """Return z · sqrt((L + R) · σd² + d² · σL²), kept for the scatter of use and delivery. Raises OutOfRange."""
    DAYS.check("review_days", review_days)
    scatter = (lead.days + review_days) * demand.spread**2 + demand.mean**2 * lead.spread**2
    return max(0.0, safety_factor(service)) * math.sqrt(scatter)


def reorder_point(demand: Demand, lead: LeadTime, service: float, review_days: float = 0.0) -> float:
    """Return what must be there or on its way so that none runs out: use until the delivery, and the safety stock."""
    return demand.mean * (lead.days + review_days) + safety_stock(demand, lead, service, review_days)


def rounded_up(quantity: int, pack: int | None = None, least: int | None = None) -> int:
    """Return the least order that is no less than the quantity and the least order, in whole packs, in whole units.

    Nothing stays nothing. Raises OutOfRange for a pack of nothing.
    """
    if quantity <= 0:
        return 0
    if pack is not None and pack <= 0:
        raise OutOfRange("pack", pack, "A pack holds something.")
    wanted = max(quantity, least or 0)
    return wanted if pack is None else -(-wanted // pack) * pack


def order_up_to(position: int, point: int, top: int, pack: int | None = None, least: int | None = None) -> int:
    """Return what brings a position that is at its reorder point up to a level; nothing where it is above.

    The level counts as the reorder point where that is higher.
    """
    return rounded_up(max(top, point) - position, pack, least) if position <= point else 0


def fixed_quantity(position: int, point: int, quantity: int, pack: int | None = None, least: int | None = None) -> int:
    """Return as many fixed quantities as lift a position above its reorder point; nothing where it is above.

    Raises OutOfRange for a quantity of nothing.
    """
    if quantity <= 0:
        raise OutOfRange("quantity", quantity, "A fixed quantity is more than nothing.")
    one = rounded_up(quantity, pack, least)
    return ((point - position) // one + 1) * one if position <= point else 0
