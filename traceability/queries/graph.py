"""Reading the graph of lots: the links reached from some lots, and what the lots reached are and hold.

One recursive question collects every link once, however many ways lead to it; the text is the same on both databases.
It never lists paths: their number grows without bound where silos are refilled and beers are blended.
"""

from collections.abc import Collection, Sequence
from datetime import datetime
from enum import StrEnum
from typing import Any, NamedTuple

from django.db import connection

from brewery.kernel.database.sets import in_set
from inventory.models import Link, Location


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


_REACHED = """
WITH RECURSIVE reached(parent_id, child_id, kind, quantity_micro) AS (
    SELECT link.parent_id, link.child_id, link.kind, link.quantity_micro
      FROM inventory_link link{as_of_join}
     WHERE link.{near} IN ({starts}) AND link.reversed_by_id IS NULL{kinds}{as_of}
    UNION
    SELECT link.parent_id, link.child_id, link.kind, link.quantity_micro
      FROM reached JOIN inventory_link link ON link.{near} = reached.{far}{as_of_join}
     WHERE link.reversed_by_id IS NULL{kinds}{as_of}
)
SELECT parent_id, child_id, kind, quantity_micro FROM reached
"""

ALL_KINDS = frozenset(Link.Kind)


def steps_from(
    starts: Collection[int],
    direction: Direction,
    kinds: Collection[Link.Kind] = ALL_KINDS,
    as_of: datetime | None = None,
) -> list[Step]:
    """Return every link reached from the lots `starts` over links of these kinds, each once, in no order.

    With `as_of`, only what had happened by that moment, as it is known today.
    """
    if not starts or not kinds:
        return []
    return [Step._make(row) for row in _rows(*question(starts, direction, kinds, as_of))]


def question(
    starts: Collection[int], direction: Direction, kinds: Collection[Link.Kind], as_of: datetime | None
) -> tuple[str, list[Any]]:
    """Return the recursive question and its parameters."""
    near, far = ("child_id", "parent_id") if direction is Direction.BACK else ("parent_id", "child_id")
    narrowed = len(set(kinds)) < len(ALL_KINDS)
    sql = _REACHED.format(
        near=near,
        far=far,
        starts=", ".join(["%s"] * len(starts)),
        kinds=f" AND link.kind IN ({', '.join(['%s'] * len(kinds))})" if narrowed else "",
        as_of_join=" JOIN inventory_event event ON event.id = link.event_id" if as_of else "",
        as_of=" AND event.happened_at <= %s" if as_of else "",
    )
    narrow: list[Any] = [int(kind) for kind in kinds] if narrowed else []
    narrow += [_moment(as_of)] if as_of else []
    return sql, [*starts, *narrow, *narrow]


class Sizes(NamedTuple):
    """How much there ever was of each lot, and how much of it counts have found missing, in micro-units."""

    totals: dict[int, int]
    missing: dict[int, int]


def sizes_of(lots: Collection[int], as_of: datetime | None = None) -> Sizes:
    """Return the sizes of the lots that existed; a lot made by mistake has none.

    The total is what a lot was made with and the net of its counts where that is a gain; a net loss is missing.
    """
    condition, parameters = in_set("id", lots)
    live = f"SELECT id, made_micro, counted_micro FROM inventory_lot WHERE {condition} AND reversed_by_id IS NULL"  # noqa: S608
    if as_of is None:
        rows = _rows(live, parameters)
        counted = {lot: found for lot, _, found in rows if found}
    else:
        rows = _rows(f"{live} AND made_at <= %s", [*parameters, _moment(as_of)])
        differences = _sums_until(lots, as_of, (Location.Kind.COUNT_DIFFERENCE,), exclude=False)
        counted = {row.lot: -row.quantity_micro for row in differences}
    return Sizes(
        totals={lot: made + max(0, counted.get(lot, 0)) for lot, made, _ in rows},
        missing={lot: -found for lot, found in counted.items() if found < 0},
    )


def lying_of(lots: Collection[int], as_of: datetime | None = None) -> list[Lying]:
    """Return where the lots lie: inside, at customers, lost, destroyed; not where they came from or went on to."""
    if as_of is None:
        condition, parameters = in_set("lot_id", lots)
        sql = (
            "SELECT lot_id, location_id, quantity_micro FROM inventory_balance "  # noqa: S608
            f"WHERE {condition} AND quantity_micro > 0 AND NOT may_go_below_zero"
        )
        return [Lying._make(row) for row in _rows(sql, parameters)]
    return [row for row in _sums_until(lots, as_of, Location.ORIGINS, exclude=True) if row.quantity_micro > 0]


def _sums_until(lots: Collection[int], as_of: datetime, kinds: Collection[str], *, exclude: bool) -> list[Lying]:
    condition, parameters = in_set("posting.lot_id", lots)
    marks = ", ".join(["%s"] * len(kinds))
    half = (
        "SELECT posting.lot_id AS lot_id, posting.{place} AS location_id, {sign}posting.quantity_micro AS quantity "  # noqa: S608
        "FROM inventory_posting posting JOIN inventory_event event ON event.id = posting.event_id "
        f"WHERE {condition} AND event.happened_at <= %s"
    )
    came, went = half.format(place="to_location_id", sign=""), half.format(place="from_location_id", sign="-")
    sql = (
        f"SELECT lot_id, location_id, CAST(SUM(quantity) AS bigint) FROM ({came} UNION ALL {went}) halves "  # noqa: S608
        f"JOIN inventory_location place ON place.id = location_id "
        f"WHERE place.kind {'NOT IN' if exclude else 'IN'} ({marks}) GROUP BY lot_id, location_id"
    )
    until = [*parameters, _moment(as_of)]
    return [Lying._make(row) for row in _rows(sql, [*until, *until, *kinds])]


def _moment(as_of: datetime) -> Any:
    return connection.ops.adapt_datetimefield_value(as_of)


def _rows(sql: str, parameters: Sequence[Any]) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
        return list(cursor.fetchall())
