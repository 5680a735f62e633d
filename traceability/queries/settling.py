"""Every lot's mass balance at once: how much of each lot is accounted for, found for the whole record in one pass.

A lot is settled as far as its parts lie somewhere for good, or went into lots that are settled: its settled part is
(what lies + what counts missed + the sum over its children of what went across x their settled part) / its total. That
is a sparse triangular system, since a parent is always older than its child: one pass from the youngest lot to the
oldest solves it, in time that grows with lots and links, where a trace for each lot would grow with its answers.
"""

from array import array
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import connection

TOLERANCE = 1e-9
AT_ONCE = 20_000
_LOT, _PLACE, _LINK = 1, 2, 3

# One statement, so that what is written meanwhile is in all of it or in none.
_ALL = f"""
SELECT {_LOT}, id, made_micro, counted_micro FROM inventory_lot WHERE reversed_by_id IS NULL
 UNION ALL
SELECT {_PLACE}, lot_id, 0, CAST(SUM(quantity_micro) AS bigint) FROM inventory_balance
 WHERE quantity_micro > 0 AND NOT may_go_below_zero GROUP BY lot_id
 UNION ALL
SELECT {_LINK}, parent_id, child_id, quantity_micro FROM inventory_link
 WHERE reversed_by_id IS NULL AND quantity_micro > 0
"""  # noqa: S608 - numbers of our own


@dataclass(frozen=True, slots=True)
class Settled:
    """What one lot's balance comes to: its settled part by shares, and what its own postings leave open, exactly."""

    total_micro: int
    open_micro: int
    part: float

    @property
    def closes(self) -> bool:
        """Whether everything is accounted for: exactly by the ledger, to one part in 10^9 by shares."""
        return self.open_micro == 0 and abs(self.part - 1) <= TOLERANCE


class WholeRecord:
    """All lots and links as plain numbers: by lot its total, and what of it lies for good or is missing."""

    def __init__(self) -> None:
        """Read the record as it is now, in one statement."""
        self.totals: dict[int, int] = {}
        self.stays: dict[int, int] = defaultdict(int)
        self.parents, self.children, self.quantities = array("q"), array("q"), array("q")
        for what, key, first, second in _rows(_ALL):
            if what == _LINK:
                self.parents.append(key)
                self.children.append(first)
                self.quantities.append(second)
            elif what == _PLACE:
                self.stays[key] += second
            else:
                self.totals[key] = first + max(0, second)
                self.stays[key] += max(0, -second)

    @property
    def links(self) -> int:
        """How many links carry a quantity."""
        return len(self.parents)

    def settled(self) -> Iterator[tuple[int, Settled]]:
        """Yield every lot that counts with what its balance comes to, the youngest first."""
        parts: dict[int, float] = {}
        links = self._links_by_parent()
        link = next(links, None)
        for lot in sorted(self.totals, reverse=True):
            stays = self.stays.get(lot, 0)
            went_on, settled = 0, float(stays)
            while link and link[0] >= lot:
                parent, child, quantity = link
                if parent == lot:
                    went_on += quantity
                    settled += quantity * parts.get(child, 0.0)
                link = next(links, None)
            total = self.totals[lot]
            parts[lot] = settled / total
            yield lot, Settled(total, total - stays - went_on, parts[lot])

    def _links_by_parent(self) -> Iterator[tuple[int, int, int]]:
        for at in sorted(range(self.links), key=self.parents.__getitem__, reverse=True):
            yield self.parents[at], self.children[at], self.quantities[at]


def _rows(sql: str) -> Iterator[tuple[int, int, int, int]]:
    # A cursor of the server's: millions of rows do not have to lie in memory at once.
    with connection.chunked_cursor() as cursor:
        cursor.execute(sql)
        while rows := cursor.fetchmany(AT_ONCE):
            yield from rows
