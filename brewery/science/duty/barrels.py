"""Barrels: the quantities of the United States, each container to five decimals and each day to two.

A barrel is 31 gallons of 231 cubic inches (26 USC 5051; 27 CFR 25.156). The equivalents that 27 CFR 25.156 and 25.158
print are the volume in barrels, the half rounded up at the fifth decimal: the tests go through every one of them. For
a case of a size that 25.158 does not print, the brewer asks TTB for the equivalent first.
"""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from fractions import Fraction

from brewery.science.duty.movements import ContainerKind, Kind, Movement, Place
from brewery.science.duty.rounding import half_up
from brewery.science.units import MICRO, unit_of

BARREL_MICRO_L = unit_of("US bbl").factor * MICRO
OVERFILL = Fraction(102, 100)
"""A keg that holds more than 2 % above its rated capacity is taxed on what it holds, without tolerance: 25.156(b)."""
TRANSIT_LOSS = Fraction(2, 100)
"""What may be lost on the way in bond without a claim: 25.184."""


def barrels(volume_micro_l: int | Fraction) -> Decimal:
    """Return a volume in barrels of 31 gallons, to five decimals."""
    return half_up(Fraction(volume_micro_l) / BARREL_MICRO_L, 5)


def movement_barrels(movement: Movement) -> Decimal:
    """Return a movement in barrels: the equivalent of its container times the count, or what was really in it.

    What was in it counts for bulk, for kegs more than 2 % too full, and for beer returned (25.211).
    """
    container, count = movement.container, movement.count
    if container is None or movement.kind in _BY_CONTENT:
        return barrels(movement.volume_micro_l)
    rated_micro_l = container.capacity_micro_l * count
    is_too_full = abs(movement.volume_micro_l) > abs(rated_micro_l) * OVERFILL
    if container.kind is ContainerKind.KEG and is_too_full:
        return count * barrels(Fraction(movement.volume_micro_l, count))
    return count * barrels(container.capacity_micro_l)


_BY_CONTENT = {Kind.RETURNED, Kind.RETURNED_ELSEWHERE}


def day_sums(movements: Iterable[Movement]) -> dict[tuple[date, Place], Decimal]:
    """Return the barrels of each day in each column, every sum to two decimals: 25.156(c), 25.157.

    A day's kegs and a day's cases are two sums. However a day is split into lines, its sums are the same.
    """
    sums: defaultdict[tuple[date, Place], Decimal] = defaultdict(Decimal)
    for movement in movements:
        sums[movement.day, movement.place] += movement_barrels(movement)
    return {at: half_up(total, 2) for at, total in sums.items()}


def total_barrels(movements: Iterable[Movement]) -> Decimal:
    """Return the sum of the days' rounded sums."""
    return sum(day_sums(movements).values(), Decimal("0.00"))


def claimable_transit_loss(shipped: Decimal, lost: Decimal) -> Decimal:
    """Return for how much of a loss on the way in bond a claim must be made, in the unit of both.

    Nothing up to 2 % of what was shipped; above that the whole loss, not what is above: 25.184.
    """
    return lost if Fraction(lost) > Fraction(shipped) * TRANSIT_LOSS else Decimal(0)
