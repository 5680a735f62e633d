# ruff: noqa: S608  the only text put into these is code
"""The text of the duty record's questions: postings of beer with the standings and purposes that they had.

What reverses counts as less of what it reverses, at the moment of that, recorded when it was reversed. Comparing
moments with parameters is the same on both databases, so no day is worked out here.
"""

_STANDING = """
    COALESCE((SELECT told.standing FROM traceability_dutystanding told
               WHERE told.since <= event.happened_at
                 AND (told.place_id = {place}.id OR told.party_id = {place}.party_id)
               ORDER BY told.since DESC, told.id DESC LIMIT 1), '')
"""

_BETWEEN = "happened_at >= %s AND happened_at < %s"
_NEWER = "id > %s AND happened_at < %s"

# What happened in the days asked is found first, and by the days alone: a planner that thinks that beer moved seldom
# reads everything that any beer ever did.
_MOVED = f"""
WITH timely AS MATERIALIZED (
    SELECT id, kind, happened_at, recorded_at, reverses_id FROM inventory_event WHERE {{when}}
), part AS MATERIALIZED (
    SELECT posting.id, posting.event_id, posting.lot_id, posting.from_location_id, posting.to_location_id,
           posting.quantity_micro
      FROM timely
      JOIN inventory_posting posting ON posting.event_id = timely.id
), beer AS MATERIALIZED (
    SELECT lot.id FROM inventory_lot lot JOIN inventory_material material ON material.id = lot.material_id
     WHERE material.kind IN ('beer', 'packaged')
), moved AS (
    SELECT posting.id, posting.lot_id, posting.event_id, event.happened_at, event.recorded_at,
           COALESCE(undone.kind, event.kind) AS kind,
           CASE WHEN undone.id IS NULL THEN origin.kind ELSE target.kind END AS from_kind,
           CASE WHEN undone.id IS NULL THEN {_STANDING.format(place="origin")}
                ELSE {_STANDING.format(place="target")} END AS from_standing,
           CASE WHEN undone.id IS NULL THEN target.kind ELSE origin.kind END AS to_kind,
           CASE WHEN undone.id IS NULL THEN {_STANDING.format(place="target")}
                ELSE {_STANDING.format(place="origin")} END AS to_standing,
           COALESCE((SELECT told.purpose FROM traceability_dutypurpose told
                      WHERE told.event_id = COALESCE(undone.id, event.id)
                      ORDER BY told.id DESC LIMIT 1), '') AS purpose,
           CASE WHEN undone.id IS NULL THEN posting.quantity_micro ELSE -posting.quantity_micro END AS quantity_micro
      FROM part posting
      JOIN timely event ON event.id = posting.event_id
      JOIN beer ON beer.id = posting.lot_id
      LEFT JOIN inventory_event undone ON undone.id = event.reverses_id
      JOIN inventory_location origin ON origin.id = posting.from_location_id
      JOIN inventory_location target ON target.id = posting.to_location_id
)
"""

KEYS = "kind, from_kind, from_standing, to_kind, to_standing, purpose"

SUMS = f"""{_MOVED.format(when=f"({_BETWEEN} OR {_NEWER}) AND recorded_at <= %s")}
SELECT lot_id, {KEYS},
       SUM(CASE WHEN happened_at < %s AND recorded_at <= %s THEN quantity_micro ELSE 0 END),
       SUM(CASE WHEN happened_at < %s AND recorded_at > %s THEN quantity_micro ELSE 0 END),
       SUM(CASE WHEN happened_at >= %s THEN quantity_micro ELSE 0 END)
  FROM moved
 GROUP BY lot_id, {KEYS}
"""
"""What happened from a moment to before another, and what happened before the first in events of higher numbers."""

_EACH = f"SELECT id, lot_id, {KEYS}, event_id, quantity_micro FROM moved ORDER BY happened_at, id"
POSTINGS = f"{_MOVED.format(when=f'{_BETWEEN} AND recorded_at <= %s')} {_EACH}"
LATE_POSTINGS = f"{_MOVED.format(when=f'{_NEWER} AND recorded_at > %s')} {_EACH}"


def sums_between(count: int) -> str:
    """Return the question for the sums between so many pairs of moments, by lot and keys."""
    sums = ", ".join(["SUM(CASE WHEN happened_at >= %s AND happened_at < %s THEN quantity_micro ELSE 0 END)"] * count)
    return f"{_MOVED.format(when=_BETWEEN)} SELECT lot_id, {KEYS}, {sums} FROM moved GROUP BY lot_id, {KEYS}"
