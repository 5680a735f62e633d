"""Reading the graph of lots: the links reached from some lots, and what the lots reached are and hold.

One question answers all three, in one round trip; its recursive part collects every link once, however many ways lead
to it, and the text is the same on both databases. It never lists paths: their number grows without bound where silos
are refilled and beers are blended.
"""

from collections.abc import Collection
from datetime import datetime
from enum import StrEnum
from typing import Any, NamedTuple

from django.db import connection

from brewery.kernel.database.asking import rows_of
from brewery.kernel.database.sets import among
from inventory.models import Link


class Direction(StrEnum):
    """Which way a trace goes: back to what a lot is made of, or forward to what was made of it."""

    BACK = "back"
    FORWARD = "forward"


class Step(NamedTuple):
    """One link as the trace reads it; the quantity is the parent's, in micro-units of its base unit."""

    parent: int
    child: int
    kind: int
    quantity_micro: int


class Lying(NamedTuple):
    """A quantity of a lot at a location, in micro-units."""

    lot: int
    location: int
    quantity_micro: int


class Sizes(NamedTuple):
    """How much there ever was of each lot, and how much of it counts have found missing, in micro-units.

    The total is what a lot was made with and the net of its counts where that is a gain; a net loss is missing. A lot
    made by mistake, or not made yet, has neither.
    """

    totals: dict[int, int]
    missing: dict[int, int]


class Reached(NamedTuple):
    """What is reached from some lots: every link once, in no order; the sizes of the lots; where they lie.

    They lie inside, at customers, lost, destroyed; not where they came from or went on to.
    """

    steps: list[Step]
    sizes: Sizes
    lying: list[Lying]


ALL_KINDS = frozenset(Link.Kind)
_LINK, _LOT, _PLACE = 1, 2, 3

_REACHED = """
WITH RECURSIVE reached(parent_id, child_id, kind, quantity_micro) AS (
    SELECT link.parent_id, link.child_id, link.kind, link.quantity_micro
      FROM inventory_link link{as_of_join}
     WHERE link.{near} IN ({starts}) AND link.reversed_by_id IS NULL{kinds}{as_of}
    UNION
    SELECT link.parent_id, link.child_id, link.kind, link.quantity_micro
      FROM reached JOIN inventory_link link ON link.{near} = reached.{far}{as_of_join}
     WHERE link.reversed_by_id IS NULL{kinds}{as_of}
)"""
_LINKS_LOTS_AND_PLACES = """, lots(id) AS (
    SELECT {far} FROM reached UNION ALL SELECT id FROM inventory_lot WHERE id IN ({starts})
)
SELECT {link}, parent_id, child_id, quantity_micro, kind FROM reached
 UNION ALL
SELECT {lot}, id, made_micro, counted_micro, 0 FROM inventory_lot WHERE {lots} AND reversed_by_id IS NULL
 UNION ALL
SELECT {place}, lot_id, location_id, quantity_micro, 0 FROM inventory_balance
 WHERE {balances} AND quantity_micro > 0 AND NOT may_go_below_zero
"""


def reached_now(starts: Collection[int], direction: Direction, kinds: Collection[Link.Kind] = ALL_KINDS) -> Reached:
    """Return what is reached from the lots `starts`, themselves among the lots, over links of these kinds."""
    sql, parameters = question(starts, direction, kinds)
    rows = rows_of(sql, parameters)
    lots = [(lot, made, counted) for what, lot, made, counted, _ in rows if what == _LOT]
    return Reached(
        [Step(parent, child, kind, quantity) for what, parent, child, quantity, kind in rows if what == _LINK],
        Sizes(
            {lot: made + counted if counted > 0 else made for lot, made, counted in lots},
            {lot: -counted for lot, _, counted in lots if counted < 0},
        ),
        [Lying(lot, location, quantity) for what, lot, location, quantity, _ in rows if what == _PLACE],
    )


def question(
    starts: Collection[int], direction: Direction, kinds: Collection[Link.Kind] = ALL_KINDS
) -> tuple[str, list[Any]]:
    """Return the question that `reached_now` asks, and its parameters."""
    recursion, parameters = recursive_part(starts, direction, kinds)
    far = "parent_id" if direction is Direction.BACK else "child_id"
    sql = _LINKS_LOTS_AND_PLACES.format(
        far=far,
        starts=marks(starts),
        link=_LINK,
        lot=_LOT,
        place=_PLACE,
        lots=among("id", "SELECT id FROM lots"),
        balances=among("lot_id", "SELECT id FROM lots"),
    )
    return recursion + sql, [*parameters, *starts]


def recursive_part(
    starts: Collection[int], direction: Direction, kinds: Collection[Link.Kind], as_of: datetime | None = None
) -> tuple[str, list[Any]]:
    """Return the part of a question that gathers the links as `reached`, and its parameters."""
    near, far = ("child_id", "parent_id") if direction is Direction.BACK else ("parent_id", "child_id")
    narrowed = not ALL_KINDS.issubset(kinds)
    sql = _REACHED.format(
        near=near,
        far=far,
        starts=marks(starts),
        kinds=f" AND link.kind IN ({marks(kinds)})" if narrowed else "",
        as_of_join=" JOIN inventory_event event ON event.id = link.event_id" if as_of else "",
        as_of=" AND event.happened_at <= %s" if as_of else "",
    )
    narrow: list[Any] = [int(kind) for kind in kinds] if narrowed else []
    narrow += [moment(as_of)] if as_of else []
    return sql, [*starts, *narrow, *narrow]


def marks(values: Collection[Any]) -> str:
    """Return a place for each value in the text of a question; one that holds nothing where there are none."""
    return ", ".join(["%s"] * len(values)) or "NULL"


def moment(as_of: datetime) -> Any:
    """Return the moment as the database takes it in a question that Django did not make."""
    return connection.ops.adapt_datetimefield_value(as_of)
