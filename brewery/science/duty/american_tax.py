"""The tax of the United States on beer: bands of barrels removed in the calendar year. 26 USC 5051.

A domestic brewer of not more than 2,000,000 barrels a year pays the least rate on the first 60,000; everyone pays the
middle rate up to 6,000,000. A controlled group shares both bands, so each brewer in it has an allotment.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from brewery.science.duty.rates import Rate, RateBook
from brewery.science.duty.schemes import Part
from brewery.science.ranges import OutOfRange

SMALL_BREWER_BBL = Decimal(2_000_000)
FIRST_BAND_BBL = Decimal(60_000)
SECOND_BAND_BBL = Decimal(6_000_000)

_LAW = "26 USC 5051, as told by us.vlex.com 671018073; made permanent by Pub. L. 116-260"
_FROM = date(2018, 1, 1)
RATES = tuple(
    Rate("us", key, Decimal(value), "USD/bbl", _FROM, None, _LAW)
    for key, value in (("small_brewer", "3.50"), ("second_band", "16.00"), ("general", "18.00"))
)


@dataclass(frozen=True, slots=True)
class Bands:
    """Up to how many barrels a year the first and the second rate go for one brewer."""

    first_bbl: Decimal
    second_bbl: Decimal

    def __post_init__(self) -> None:
        if not 0 <= self.first_bbl <= FIRST_BAND_BBL:
            raise OutOfRange("first_bbl", self.first_bbl, f"The group's first band is {FIRST_BAND_BBL} bbl at most.")
        if not self.first_bbl <= self.second_bbl <= SECOND_BAND_BBL:
            raise OutOfRange(
                "second_bbl", self.second_bbl, f"It lies between the first band and {SECOND_BAND_BBL} bbl."
            )


def bands(made_bbl: Decimal, first_bbl: Decimal = FIRST_BAND_BBL, second_bbl: Decimal = SECOND_BAND_BBL) -> Bands:
    """Return the bands of a brewer whose group makes so much a year; with more than 2,000,000 bbl no first band.

    Raises OutOfRange where an allotment is more than the whole group has.
    """
    return Bands(first_bbl if made_bbl <= SMALL_BREWER_BBL else Decimal(0), second_bbl)


def parts(quantity: Decimal, so_far: Decimal, brewer: Bands, rates: RateBook, day: date) -> tuple[Part, ...]:
    """Return the tax on barrels that come after `so_far` of the same year, band by band, unrounded.

    A negative quantity takes back what was last taxed. Raises OutOfRange where more is taken back than was removed.
    """
    end = so_far + quantity
    if so_far < 0 or end < 0:
        raise OutOfRange("so_far", so_far, f"With {quantity} bbl the year's removals would fall below 0. Look up both.")
    sign, low, high = (1, so_far, end) if quantity >= 0 else (-1, end, so_far)
    return tuple(_within(sign, low, high, brewer, rates, day))


def _within(sign: int, low: Decimal, high: Decimal, brewer: Bands, rates: RateBook, day: date) -> Iterator[Part]:
    """What lies between two points of the year, cut at the ends of the bands."""
    edges = (Decimal(0), brewer.first_bbl, brewer.second_bbl, max(high, brewer.second_bbl))
    keys = ("small_brewer", "second_band", "general")
    for (start, end), key in zip(pairwise(edges), keys, strict=True):
        inside = min(high, end) - max(low, start)
        if inside > 0:
            rate = rates.on(key, day)
            yield Part(Fraction(sign * inside), rate, sign * Fraction(inside) * Fraction(rate), _WHY[key])


_WHY = {
    "small_brewer": "first band of a brewer of not more than 2,000,000 bbl a year",
    "second_band": "up to the end of the second band",
    "general": "general rate",
}
