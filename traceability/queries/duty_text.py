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

MOVED = f"""
WITH moved AS (
    SELECT posting.id, posting.lot_id, event.happened_at, event.recorded_at, event.id AS event_id,
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
      FROM inventory_posting posting
      JOIN inventory_event event ON event.id = posting.event_id
      LEFT JOIN inventory_event undone ON undone.id = event.reverses_id
      JOIN inventory_lot lot ON lot.id = posting.lot_id
      JOIN inventory_material material ON material.id = lot.material_id
      JOIN inventory_location origin ON origin.id = posting.from_location_id
      JOIN inventory_location target ON target.id = posting.to_location_id
     WHERE material.kind IN ('beer', 'packaged') AND event.happened_at < %s AND event.recorded_at <= %s
)
"""

KEYS = "kind, from_kind, from_standing, to_kind, to_standing, purpose"

SUMS = f"""{MOVED}
SELECT lot_id, {KEYS},
       SUM(CASE WHEN happened_at < %s AND recorded_at <= %s THEN quantity_micro ELSE 0 END),
       SUM(CASE WHEN happened_at < %s AND recorded_at > %s THEN quantity_micro ELSE 0 END),
       SUM(CASE WHEN happened_at >= %s THEN quantity_micro ELSE 0 END)
  FROM moved
 GROUP BY lot_id, {KEYS}
"""

POSTINGS = f"""{MOVED}
SELECT id, lot_id, {KEYS}, quantity_micro FROM moved WHERE happened_at >= %s ORDER BY happened_at, id
"""


def sums_between(count: int) -> str:
    """Return the question for the sums between so many pairs of moments, by lot and keys."""
    sums = ", ".join(["SUM(CASE WHEN happened_at >= %s AND happened_at < %s THEN quantity_micro ELSE 0 END)"] * count)
    return f"{MOVED} SELECT lot_id, {KEYS}, {sums} FROM moved WHERE happened_at >= %s GROUP BY lot_id, {KEYS}"
