"""What a unit of a lot cost: as it was said of the lot, or as it follows from what a refilled silo was filled with."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from brewery.kernel.database.asking import rows_of
from brewery.kernel.database.sets import in_set
from inventory.models import LotCost
from inventory.queries.valuation import MICRO_E4

FINENESS = 10**12
"""A mixture's unit cost is rounded to so many parts of the currency, so that a silo's years of refills stay quick."""


@dataclass(frozen=True)
class UnitCost:
    """What one micro-unit cost, by currency, and what share of it has a cost at all (0 to 1)."""

    value: Mapping[str, Fraction] = field(default_factory=dict)
    known: Fraction = Fraction(0)


@dataclass
class Cost:
    """What quantities cost together, by currency, and how much of them has no cost, in micro-units."""

    value: dict[str, Fraction] = field(default_factory=dict)
    bare: Fraction = Fraction(0)

    @property
    def without_cost_micro(self) -> int:
        """What has no cost, rounded once."""
        return round(self.bare)

    @property
    def negative(self) -> "Cost":
        """The same taken off."""
        return Cost({currency: -value for currency, value in self.value.items()}, -self.bare)

    def add(self, micro: int, unit: UnitCost) -> None:
        """So much more of what costs so much; below zero, less."""
        for currency, value in unit.value.items():
            self.value[currency] = self.value.get(currency, Fraction(0)) + micro * value
        self.bare += micro * (1 - unit.known)


def unit_costs(lots: Collection[int]) -> dict[int, UnitCost]:
    """Return what each lot cost, by its key; two statements however many.

    The newest that was said of a lot counts. Where nothing was, a mixture of lots of its own material (a refilled silo,
    yeast on what a brink held) cost what went into it, each part by its weight: the average that IAS 2, 27 allows for
    what cannot be told apart. What has no cost is no part of the value and none of what is known.
    """
    parts = _parts(lots)
    told = _told({*lots, *parts, *(parent for mixed in parts.values() for parent, _ in mixed)})
    for child in sorted(parts):  # a parent is older than its child, so what it cost is known by then
        if child not in told:
            told[child] = _mixed([(weight, told.get(parent, UnitCost())) for parent, weight in parts[child]])
    return {lot: told.get(lot, UnitCost()) for lot in lots}


def _told(lots: Iterable[int]) -> dict[int, UnitCost]:
    newest = LotCost.objects.filter(lot__in=list(lots)).order_by("pk")
    return {
        cost.lot_id: UnitCost({cost.currency: Fraction(cost.unit_cost_e4, MICRO_E4)}, Fraction(1)) for cost in newest
    }


def _mixed(parts: Collection[tuple[int, UnitCost]]) -> UnitCost:
    value: dict[str, Fraction] = defaultdict(Fraction)
    whole, known = sum(weight for weight, _ in parts), Fraction(0)
    for weight, unit in parts:
        known += weight * unit.known
        for currency, one in unit.value.items():
            value[currency] += weight * one
    fine = FINENESS * MICRO_E4
    rounded = {currency: Fraction(round(one * fine / whole), fine) for currency, one in value.items()}
    return UnitCost(rounded, Fraction(round(known * FINENESS / whole), FINENESS))


_MIXED = """
WITH RECURSIVE mixed(child_id, parent_id, quantity_micro) AS (
    SELECT link.child_id, link.parent_id, link.quantity_micro
      FROM inventory_link link JOIN inventory_event event ON event.id = link.event_id
     WHERE {starts} AND link.kind = 1 AND link.reversed_by_id IS NULL
       AND event.kind IN ('receive', 'refill', 'move')
    UNION
    SELECT link.child_id, link.parent_id, link.quantity_micro
      FROM mixed JOIN inventory_link link ON link.child_id = mixed.parent_id
                 JOIN inventory_event event ON event.id = link.event_id
     WHERE link.kind = 1 AND link.reversed_by_id IS NULL AND event.kind IN ('receive', 'refill', 'move')
)
SELECT child_id, parent_id, quantity_micro FROM mixed
"""
"""What was mixed into the lots, and into what was mixed into them: each child with its parents and how much of them."""


def _parts(lots: Collection[int]) -> dict[int, list[tuple[int, int]]]:
    starts, parameters = in_set("link.child_id", lots)
    found: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for child, parent, weight in rows_of(_MIXED.format(starts=starts), parameters):
        found[child].append((parent, weight))
    return found
