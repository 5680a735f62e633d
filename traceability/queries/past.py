# ruff: noqa: S608  the only texts put in are column names and marks of our own
"""The graph of lots as it was at a past moment, by what is known today: a mistake reversed since does not count.

Sums of postings take the place of the balances and counts that the database keeps, which only know the present.
"""

from collections.abc import Collection
from datetime import datetime

from brewery.kernel.database.asking import rows_of
from brewery.kernel.database.sets import in_set
from inventory.models import Link, Location
from traceability.queries.graph import (
    ALL_KINDS,
    Direction,
    Lying,
    Reached,
    Sizes,
    Step,
    marks,
    moment,
    recursive_part,
)


def reached_until(
    as_of: datetime, starts: Collection[int], direction: Direction, kinds: Collection[Link.Kind] = ALL_KINDS
) -> Reached:
    """Return what was reached by that moment from the lots `starts`, themselves among the lots."""
    sql, parameters = recursive_part(starts, direction, kinds, as_of)
    rows = rows_of(f"{sql} SELECT parent_id, child_id, kind, quantity_micro FROM reached", parameters)
    steps = [Step._make(row) for row in rows]
    lots = {*starts, *(step.parent for step in steps), *(step.child for step in steps)}
    lying = [row for row in _sums(lots, as_of, Location.ORIGINS, exclude=True) if row.quantity_micro > 0]
    return Reached(steps, _sizes(lots, as_of), lying)


def _sizes(lots: Collection[int], as_of: datetime) -> Sizes:
    condition, parameters = in_set("id", lots)
    made = rows_of(
        f"SELECT id, made_micro FROM inventory_lot WHERE {condition} AND reversed_by_id IS NULL AND made_at <= %s",
        [*parameters, moment(as_of)],
    )
    differences = _sums(lots, as_of, (Location.Kind.COUNT_DIFFERENCE,), exclude=False)
    counted = {row.lot: -row.quantity_micro for row in differences}
    return Sizes(
        totals={lot: quantity + max(0, counted.get(lot, 0)) for lot, quantity in made},
        missing={lot: -found for lot, found in counted.items() if found < 0},
    )


def _sums(lots: Collection[int], as_of: datetime, kinds: Collection[str], *, exclude: bool) -> list[Lying]:
    condition, parameters = in_set("posting.lot_id", lots)
    half = (
        "SELECT posting.lot_id AS lot_id, posting.{place} AS location_id, {sign}posting.quantity_micro AS quantity "
        "FROM inventory_posting posting JOIN inventory_event event ON event.id = posting.event_id "
        f"WHERE {condition} AND event.happened_at <= %s"
    )
    came, went = half.format(place="to_location_id", sign=""), half.format(place="from_location_id", sign="-")
    sql = (
        f"SELECT lot_id, location_id, CAST(SUM(quantity) AS bigint) FROM ({came} UNION ALL {went}) halves "
        f"JOIN inventory_location place ON place.id = location_id "
        f"WHERE place.kind {'NOT IN' if exclude else 'IN'} ({marks(kinds)}) GROUP BY lot_id, location_id"
    )
    until = [*parameters, moment(as_of)]
    return [Lying._make(row) for row in rows_of(sql, [*until, *until, *kinds])]
