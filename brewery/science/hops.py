"""Hops in storage: what is left of a lot's alpha acids by how long, how warm and in what pack it lay.

First-order decay with a rate that halves for each 15 °C colder and a factor for the pack: Garetz, Brewing Techniques
2(1). A model estimate, never an assay: pellets lost 2 to 4 times less than it says (Purdue thesis on Cascade and
Chinook pellets), and cones lose little in their first 3 to 6 months, then more (Skomra and Koziara-Ciupa, Polish
Journal of Agronomy 2020, 40). A new assay takes its place from that day on.
"""

import enum
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from brewery.science.cultivars import Cultivar
from brewery.science.estimates import Estimate
from brewery.science.hop_index import ALPHA_PCT
from brewery.science.ranges import ANY_MASS_KG, MASS_KG, OutOfRange, Range
from brewery.science.storage import Stay, TemperatureLaw, equivalent_days_until, exposure, fitted_rate, remaining

STORAGE_LAW = TemperatureLaw(times=2, every_k=15)
STORAGE_LAW_MOST_C = 20
"""The law is published up to here; above, it is carried on."""

ASSAY_SCATTER = 0.05
"""Within which part of its figure an assay of alpha acids is repeated 19 times out of 20: from memory."""
DAYS_TO_FIT = Range(14, math.inf, "d", "Keep the rate that was taken so far until the assays lie further apart.")

PELLETS_SLOWER_BY = 4
"""How many times slower pellets decayed than the model, at the most: Purdue thesis, 4 and 25 °C, 168 days."""


class Pack(enum.StrEnum):
    """What protects the hops from air."""

    OPEN = "open"
    SEALED = "sealed"
    VACUUM = "barrier under vacuum"
    INERT_GAS = "barrier under inert gas"

    @property
    def protection(self) -> float:
        """What the rate is multiplied by: 1 open, 0.75 sealed, 0.5 in a barrier (Garetz; the last two from memory)."""
        return {Pack.OPEN: 1.0, Pack.SEALED: 0.75}.get(self, 0.5)


class HopForm(enum.StrEnum):
    """What became of the cones."""

    CONES = "cones"
    PELLETS_90 = "pellets 90"
    PELLETS_45 = "pellets 45"
    EXTRACT = "extract"
    OIL = "oil"

    @property
    def has_storage_index(self) -> bool:
        """Whether the hop storage index says anything of it."""
        return self not in (HopForm.EXTRACT, HopForm.OIL)


@dataclass(frozen=True, slots=True)
class AlphaInStorage:
    """Today's alpha acids in %, the days at 20 °C in the open that its history amounts to, and whether the law was
    carried on above 20 °C, where nobody published it."""

    alpha_pct: Estimate
    equivalent_days: float
    is_extrapolated: bool


def default_rate(cultivar: Cultivar, form: HopForm) -> Estimate:
    """Return the rate per day at 20 °C in the open to take until a lot has its own.

    The interval is what is published; for pellets it reaches down to a quarter. Raises OutOfRange for extract and oil,
    of which nothing is published here.
    """
    rate = cultivar.rate_per_day
    if form is HopForm.CONES:
        return rate
    if not form.has_storage_index:
        raise OutOfRange("form", form, "No rate of it is published here: fit the lot's own from two assays.")
    return Estimate(rate.value, rate.low / PELLETS_SLOWER_BY, rate.high)


def rate_by_assays(earlier_pct: float, later_pct: float, equivalent_days: float) -> Estimate:
    """Return a lot's own rate per day at 20 °C in the open, by two assays of one method so many such days apart.

    The interval is the scatter of both assays. Raises OutOfRange for less than 14 days between, in which it would hide
    any decay, and where more was found at the later time.
    """
    DAYS_TO_FIT.check("equivalent_days", equivalent_days)
    rate = fitted_rate(earlier_pct, later_pct, equivalent_days)
    scatter = math.log1p(ASSAY_SCATTER * math.sqrt(2)) / equivalent_days
    return Estimate(rate, max(0.0, rate - scatter), rate + scatter)


def alpha_in_storage(
    assay_pct: Estimate, rate_per_day: Estimate, stays: Sequence[Stay], law: TemperatureLaw = STORAGE_LAW
) -> AlphaInStorage:
    """Return the alpha acids left, in %, after the stays since the assay. Raises OutOfRange.

    The interval goes from the least of the assay at the quickest rate to the most of it at the slowest.
    """
    days = exposure(stays, law)
    left = Estimate(
        remaining(assay_pct.value, rate_per_day.value, days),
        remaining(assay_pct.low, rate_per_day.high, days),
        remaining(assay_pct.high, rate_per_day.low, days),
    )
    return AlphaInStorage(left, days, any(stay.days and stay.temperature_c > STORAGE_LAW_MOST_C for stay in stays))


def days_until_alpha(
    limit_pct: float,
    alpha_pct: float,
    rate_per_day: float,
    store_c: float,
    pack: Pack,
    law: TemperatureLaw = STORAGE_LAW,
) -> float:
    """Return the days in one store until the alpha acids have fallen to a limit, both in %: 0 where they have.

    Infinite without decay. Raises OutOfRange.
    """
    return equivalent_days_until(limit_pct, alpha_pct, rate_per_day) / (law(store_c) * pack.protection)


def blended_alpha_pct(parts: Iterable[tuple[float, float]]) -> float:
    """Return the alpha acids in % of lots thrown together, each as its weight in kg and its alpha in %.

    The mean by weight. Raises OutOfRange where there is nothing.
    """
    parts = list(parts)
    for mass_kg, alpha_pct in parts:
        ANY_MASS_KG.check("mass_kg", mass_kg)
        ALPHA_PCT.check("alpha_pct", alpha_pct)
    total_kg = sum(mass_kg for mass_kg, _ in parts)
    MASS_KG.check("mass_kg", total_kg)
    return sum(mass_kg * alpha_pct for mass_kg, alpha_pct in parts) / total_kg
