"""Movements: what happened to beer, as plainly as every authority asks for it, with no database behind it."""

import enum
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO


class Place(enum.StrEnum):
    """Where in a brewery beer is counted: the columns of a brewer's report."""

    CELLAR = "cellar"
    RACKING_BULK = "racking_bulk"
    RACKING_KEG = "racking_keg"
    BOTTLING_BULK = "bottling_bulk"
    BOTTLING_CASE = "bottling_case"


class Kind(enum.StrEnum):
    """What a movement was. What of it is taxed, each scheme says for itself."""

    PRODUCED = "produced"
    WATER_ADDED = "water_added"
    RECEIVED_IN_BOND = "received_in_bond"
    RETURNED = "returned"  # to the premises that it was removed from
    RETURNED_ELSEWHERE = "returned_elsewhere"  # after removal from other premises of the same brewer
    SURPLUS = "surplus"

    TO_CELLAR = "to_cellar"  # back from racking or bottling
    TO_RACKING = "to_racking"
    TO_BOTTLING = "to_bottling"
    RACKED = "racked"
    BOTTLED = "bottled"

    REMOVED = "removed"  # for consumption or sale
    REMOVED_TO_TAVERN = "removed_to_tavern"  # tasting room or tavern on the premises
    EXPORTED = "exported"
    SUPPLIED = "supplied"  # without tax, as supplies of ships and aircraft
    RESEARCHED = "researched"  # without tax, for research, development or testing elsewhere
    TO_OTHER_PREMISES = "to_other_premises"  # in bond, duty suspended
    UNFIT = "unfit"  # removed unfit for sale, for use in manufacturing
    GIVEN_FREE = "given_free"  # what the law lets staff have free of duty
    CONSUMED = "consumed"  # on the premises
    SAMPLED = "sampled"  # for the laboratory
    DESTROYED = "destroyed"
    LOST = "lost"  # by known cause: breakage, casualty, theft, a stage of the process
    SHORTAGE = "shortage"  # missing at a count, with no known cause


ADDITIONS = frozenset(
    {Kind.PRODUCED, Kind.WATER_ADDED, Kind.RECEIVED_IN_BOND, Kind.RETURNED, Kind.RETURNED_ELSEWHERE, Kind.SURPLUS}
)
LEAVES_FROM = {
    Kind.TO_RACKING: Place.CELLAR,
    Kind.TO_BOTTLING: Place.CELLAR,
    Kind.RACKED: Place.RACKING_BULK,
    Kind.BOTTLED: Place.BOTTLING_BULK,
}
"""Where beer can only come from that moves inside the premises."""
BETWEEN_PLACES = frozenset({Kind.TO_CELLAR, Kind.TO_RACKING, Kind.TO_BOTTLING, Kind.RACKED, Kind.BOTTLED})
"""What only moves beer inside the premises: it comes out of one column and goes into another."""
REMOVALS = frozenset(Kind) - ADDITIONS - BETWEEN_PLACES


class ContainerKind(enum.StrEnum):
    """A keg or cask is filled by racking; a case is all its bottles or cans."""

    KEG = "keg"
    CASE = "case"


@dataclass(frozen=True, slots=True)
class Container:
    """A kind of container: its rated capacity in whole microlitres, a case with all that is in it.

    `dispense` is whether it is made to be connected to a gas or pump dispense system.
    """

    kind: ContainerKind
    capacity_micro_l: int
    dispense: bool = False

    def __post_init__(self) -> None:
        if self.capacity_micro_l <= 0:
            raise OutOfRange("capacity_micro_l", self.capacity_micro_l, "Give the rated capacity of the container.")


@dataclass(frozen=True, slots=True)
class Measured:
    """A strength as it was measured: the figure, the day and the method."""

    value: Decimal
    on: date
    method: str

    def __post_init__(self) -> None:
        if not self.value.is_finite() or not 0 <= self.value <= 100:
            raise OutOfRange("value", self.value, "It must be 0 to 100. Look up the analysis that it comes from.")


@dataclass(frozen=True, slots=True)
class Movement:
    """Beer of one product and strength that moved on one day.

    `place` is where an addition arrives and where everything else leaves from. `volume_micro_l` is what was in it,
    in whole microlitres; with containers, `count` of them. Both are negative where an earlier entry is taken back.
    `alcohol` is in % vol, `extract` the original extract in °P. `reference` leads back to the record, `entered_on`
    is when it was entered, where that was later.
    """

    day: date
    product: str
    kind: Kind
    place: Place
    volume_micro_l: int
    container: Container | None = None
    count: int = 0
    alcohol: Measured | None = None
    extract: Measured | None = None
    reference: str = ""
    entered_on: date | None = None

    def __post_init__(self) -> None:
        if (self.container is not None) != bool(self.count):
            raise OutOfRange("count", self.count, "Give a container and how many of it, or neither for bulk.")
        if self.count * self.volume_micro_l < 0:
            raise OutOfRange("count", self.count, "What is taken back has both a negative count and a negative volume.")
        if self.place != LEAVES_FROM.get(self.kind, self.place):
            raise OutOfRange("place", self.place, f"What is {self.kind} leaves from {LEAVES_FROM[self.kind]}.")

    @property
    def volume_l(self) -> Fraction:
        """The litres, exactly."""
        return Fraction(self.volume_micro_l, MICRO)

    @property
    def volume_hl(self) -> Fraction:
        """The hectolitres, exactly."""
        return self.volume_l / 100

    def measured(self, field: str) -> Fraction:
        """The figure of `alcohol` or `extract`. Raises OutOfRange where it was not measured."""
        found: Measured | None = getattr(self, field)
        if found is None:
            raise OutOfRange(field, None, f"{self.product} of {self.day} has none: enter a measured {field} first.")
        return Fraction(found.value)
