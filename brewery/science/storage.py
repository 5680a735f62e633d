"""Storage: what time and warmth do to hops, beer and yeast, as first-order decay over a history of temperatures.

The rate is summed up stretch by stretch, never taken at the mean temperature: it rises faster than the temperature, so
the mean understates what a warm week does.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from brewery.science.ranges import DAYS, PART, Range

TEMPERATURE_C = Range(-40, 60, "°C", "Look up the logger, or whether Fahrenheit was written.")
RATE_PER_DAY = Range(0, 10, "per day", "A rate is what is lost in a day as a share of what is there: 0.004, not 0.4 %.")
LOSS_PCT = Range(0, 99.999, "%", "Nothing decays by all that there is; look up both assays.")
AMOUNT = Range(0, math.inf, "", "Measure again.", above_least=True)
TIMES = Range(1, 10, "", "A rate that falls as it gets warmer, or rises more than tenfold, is none of storage.")
INTERVAL_K = Range(0, 100, "K", "Write the rise in temperature that multiplies the rate, such as 10.", above_least=True)


@dataclass(frozen=True, slots=True)
class Stay:
    """A stretch of time at one temperature; `protection` multiplies the rate: 1 in the open, 0.5 half as fast.

    Raises OutOfRange for less than no time, a temperature beyond -40 to 60 °C, or a protection beyond 0 to 1.
    """

    days: float
    temperature_c: float
    protection: float = 1.0

    def __post_init__(self) -> None:
        DAYS.check("days", self.days)
        TEMPERATURE_C.check("temperature_c", self.temperature_c)
        PART.check("protection", self.protection)


@dataclass(frozen=True, slots=True)
class TemperatureLaw:
    """A rate that is multiplied by `times` for each `every_k` kelvin warmer, and is 1 at `reference_c`.

    TemperatureLaw(2, 15) halves for 15 K colder; TemperatureLaw(2.5, 10) is a Q10 of 2.5. Raises OutOfRange.
    """

    times: float
    every_k: float
    reference_c: float = 20.0

    def __post_init__(self) -> None:
        TIMES.check("times", self.times)
        INTERVAL_K.check("every_k", self.every_k)
        TEMPERATURE_C.check("reference_c", self.reference_c)

    def __call__(self, temperature_c: float) -> float:
        """Return the rate at a temperature, as a multiple of the rate at the reference. Raises OutOfRange."""
        TEMPERATURE_C.check("temperature_c", temperature_c)
        return float(self.times ** ((temperature_c - self.reference_c) / self.every_k))

    @property
    def q10(self) -> float:
        """What the rate is multiplied by for 10 K."""
        return float(self.times ** (10 / self.every_k))


def exposure(stays: Iterable[Stay], rate: Callable[[float], float]) -> float:
    """Return the sum of rate(temperature) x protection x days over the stays, whatever their order.

    With a TemperatureLaw: equivalent days at its reference, in the open. With a rate per day: the exponent of decay.
    """
    return math.fsum(rate(stay.temperature_c) * stay.protection * stay.days for stay in stays)


def remaining(amount: float, rate_per_day: float, equivalent_days: float) -> float:
    """Return what is left of an amount, in its own unit: amount x exp(-rate x days). Raises OutOfRange."""
    AMOUNT.check("amount", amount)
    RATE_PER_DAY.check("rate_per_day", rate_per_day)
    DAYS.check("equivalent_days", equivalent_days)
    return amount * math.exp(-rate_per_day * equivalent_days)


def rate_from_loss(loss_pct: float, days: float) -> float:
    """Return the rate, per day, of what loses `loss_pct` % in `days` days at the reference. Raises OutOfRange."""
    LOSS_PCT.check("loss_pct", loss_pct)
    AMOUNT.check("days", days)
    return -math.log1p(-loss_pct / 100) / days


def fitted_rate(earlier: float, later: float, equivalent_days: float) -> float:
    """Return the rate, per equivalent day, of what was measured twice, in the same unit by the same method.

    Raises OutOfRange where there was more at the later time: that is scatter of the assay, and no rate.
    """
    AMOUNT.check("earlier", earlier)
    AMOUNT.check("equivalent_days", equivalent_days)
    Range(
        0,
        earlier,
        "",
        "More than before is scatter of the assay: keep the rate that was taken so far.",
        above_least=True,
    ).check("later", later)
    return math.log(earlier / later) / equivalent_days


def equivalent_days_until(limit: float, amount: float, rate_per_day: float) -> float:
    """Return the equivalent days until an amount has fallen to a limit: 0 where it has, infinite without decay.

    Divide by rate x protection at the temperature of the store to get days there. Raises OutOfRange.
    """
    AMOUNT.check("limit", limit)
    AMOUNT.check("amount", amount)
    RATE_PER_DAY.check("rate_per_day", rate_per_day)
    if limit >= amount:
        return 0.0
    return math.log(amount / limit) / rate_per_day if rate_per_day else math.inf
