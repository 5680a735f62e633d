# ruff: noqa: S608  the only text put into these is HALVES below
"""The questions, as SQL that both databases read alike. Each row that comes back is a disagreement.

Every question answers (what kind of row, its id, what the record says, what the postings say).
"""

HALVES = """
    SELECT event_id, lot_id, to_location_id AS location_id, quantity_micro AS quantity FROM inventory_posting
    UNION ALL
    SELECT event_id, lot_id, from_location_id, -quantity_micro FROM inventory_posting
"""

BALANCES = f"""
    SELECT 'lot', sides.lot_id, CAST(SUM(sides.booked) AS bigint), CAST(SUM(sides.posted) AS bigint)
      FROM (SELECT lot_id, location_id, quantity_micro AS booked, 0 AS posted FROM inventory_balance
             UNION ALL
            SELECT lot_id, location_id, 0, quantity FROM ({HALVES}) halves) sides
     GROUP BY sides.lot_id, sides.location_id
    HAVING SUM(sides.booked) <> SUM(sides.posted)
"""

BALANCE_RULES = """
    SELECT 'balance', balance.id, balance.lot_id, balance.location_id
      FROM inventory_balance balance JOIN inventory_location place ON place.id = balance.location_id
     WHERE balance.holds_one_lot <> place.holds_one_lot OR balance.may_go_below_zero <> place.may_go_below_zero
"""

NEVER_BELOW_ZERO = f"""
    SELECT 'lot', low.lot_id, low.location_id, MIN(low.running)
      FROM (SELECT moments.lot_id, moments.location_id,
                   CAST(SUM(moments.quantity) OVER (
                       PARTITION BY moments.lot_id, moments.location_id ORDER BY moments.happened_at
                   ) AS bigint) AS running
              FROM (SELECT halves.lot_id, halves.location_id, event.happened_at, SUM(halves.quantity) AS quantity
                      FROM ({HALVES}) halves JOIN inventory_event event ON event.id = halves.event_id
                     GROUP BY halves.lot_id, halves.location_id, event.happened_at) moments
              JOIN inventory_location place ON place.id = moments.location_id
             WHERE NOT place.may_go_below_zero) low
     WHERE low.running < 0
     GROUP BY low.lot_id, low.location_id
"""

ONE_LOT_A_VESSEL = f"""
    SELECT 'location', stay.location_id, stay.lot_id, MIN(stay.beside)
      FROM (SELECT held.location_id, held.lot_id, held.since,
                   MAX(held.until) OVER before AS occupied_until, MAX(held.lot_id) OVER before AS beside
              FROM (SELECT running.location_id, running.lot_id, running.quantity, running.happened_at AS since,
                           COALESCE(LEAD(running.happened_at) OVER (
                               PARTITION BY running.location_id, running.lot_id ORDER BY running.happened_at
                           ), '9999-12-31 00:00:00') AS until
                      FROM (SELECT moments.location_id, moments.lot_id, moments.happened_at,
                                   SUM(moments.quantity) OVER (
                                       PARTITION BY moments.location_id, moments.lot_id ORDER BY moments.happened_at
                                   ) AS quantity
                              FROM (SELECT halves.location_id, halves.lot_id, event.happened_at,
                                           SUM(halves.quantity) AS quantity
                                      FROM ({HALVES}) halves
                                      JOIN inventory_event event ON event.id = halves.event_id
                                      JOIN inventory_location place
                                        ON place.id = halves.location_id AND place.holds_one_lot
                                     GROUP BY halves.location_id, halves.lot_id, event.happened_at) moments) running
                   ) held
             WHERE held.quantity > 0
            WINDOW before AS (PARTITION BY held.location_id ORDER BY held.since, held.lot_id
                              ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)) stay
     WHERE stay.occupied_until > stay.since
     GROUP BY stay.location_id, stay.lot_id
"""
"""A lot that came to a vessel before what was there, at any moment on record, had gone."""

MADE_WITH = """
    SELECT 'lot', lot.id, lot.made_micro, COALESCE(CAST(SUM(posting.quantity_micro) AS bigint), 0)
      FROM inventory_lot lot
      LEFT JOIN (inventory_posting posting
                 JOIN inventory_location place
                   ON place.id = posting.from_location_id AND place.kind IN ('supplier', 'transformed'))
        ON posting.lot_id = lot.id AND posting.event_id = lot.made_by_id
     GROUP BY lot.id, lot.made_micro
    HAVING lot.made_micro <> COALESCE(CAST(SUM(posting.quantity_micro) AS bigint), 0)
"""

COUNTED = f"""
    SELECT 'lot', lot.id, lot.counted_micro, COALESCE(-found.quantity, 0)
      FROM inventory_lot lot
      LEFT JOIN (SELECT halves.lot_id, CAST(SUM(halves.quantity) AS bigint) AS quantity
                   FROM ({HALVES}) halves
                   JOIN inventory_location place ON place.id = halves.location_id
                  WHERE place.kind = 'count_difference' GROUP BY halves.lot_id) found ON found.lot_id = lot.id
     WHERE lot.counted_micro <> COALESCE(-found.quantity, 0)
"""

WENT_ACROSS = """
    SELECT 'event', sides.event_id, CAST(SUM(sides.linked) AS bigint), CAST(SUM(sides.gone) AS bigint)
      FROM (SELECT posting.event_id, posting.lot_id, 0 AS linked, posting.quantity_micro AS gone
              FROM inventory_posting posting
              JOIN inventory_location place ON place.id = posting.to_location_id AND place.kind = 'transformed'
              JOIN inventory_event event ON event.id = posting.event_id AND event.kind <> 'reverse'
             UNION ALL
            SELECT event_id, parent_id, quantity_micro, 0 FROM inventory_link) sides
     GROUP BY sides.event_id, sides.lot_id
    HAVING SUM(sides.linked) <> SUM(sides.gone)
"""

HAS_PARENTS = """
    SELECT DISTINCT 'lot', lot.id, 0, 0
      FROM inventory_lot lot
      JOIN inventory_posting posting ON posting.lot_id = lot.id AND posting.event_id = lot.made_by_id
      JOIN inventory_location place ON place.id = posting.from_location_id AND place.kind = 'transformed'
     WHERE NOT EXISTS (SELECT 1 FROM inventory_link link WHERE link.child_id = lot.id)
"""

PARENTS_OLDER = """
    SELECT 'link', link.id, link.parent_id, link.child_id
      FROM inventory_link link
      JOIN inventory_lot parent ON parent.id = link.parent_id
      JOIN inventory_lot child ON child.id = link.child_id
     WHERE link.parent_id >= link.child_id OR parent.made_at > child.made_at
"""

LINKS_WITH_THEIR_LOT = """
    SELECT 'link', link.id, link.event_id, child.made_by_id
      FROM inventory_link link JOIN inventory_lot child ON child.id = link.child_id
     WHERE link.event_id <> child.made_by_id
"""

USED_AFTER_MADE = """
    SELECT 'event', event.id, lot.id, lot.made_by_id
      FROM inventory_posting posting
      JOIN inventory_event event ON event.id = posting.event_id
      JOIN inventory_lot lot ON lot.id = posting.lot_id
     WHERE lot.made_at > event.happened_at
"""

REVERSALS_MIRROR = """
    SELECT 'event', reversal.id, COUNT(mirror.id), COUNT(posting.id)
      FROM inventory_event reversal
      JOIN inventory_event original ON original.id = reversal.reverses_id
      LEFT JOIN inventory_posting posting ON posting.event_id = original.id
      LEFT JOIN inventory_posting mirror
        ON mirror.event_id = reversal.id AND mirror.lot_id = posting.lot_id
       AND mirror.from_location_id = posting.to_location_id AND mirror.to_location_id = posting.from_location_id
       AND mirror.quantity_micro = posting.quantity_micro
     GROUP BY reversal.id, reversal.happened_at, original.happened_at
    HAVING COUNT(mirror.id) <> COUNT(posting.id)
        OR COUNT(posting.id) <> (SELECT COUNT(*) FROM inventory_posting own WHERE own.event_id = reversal.id)
        OR reversal.happened_at <> original.happened_at
"""

REVERSED_LINKS = """
    SELECT 'link', link.id, COALESCE(link.reversed_by_id, 0), COALESCE(reversal.id, 0)
      FROM inventory_link link
      LEFT JOIN inventory_event reversal ON reversal.reverses_id = link.event_id
     WHERE COALESCE(link.reversed_by_id, 0) <> COALESCE(reversal.id, 0)
"""

REVERSED_LOTS = """
    SELECT 'lot', lot.id, COALESCE(lot.reversed_by_id, 0), COALESCE(reversal.id, 0)
      FROM inventory_lot lot
      LEFT JOIN inventory_event reversal ON reversal.reverses_id = lot.made_by_id
     WHERE COALESCE(lot.reversed_by_id, 0) <> COALESCE(reversal.id, 0)
"""

LAST_DECISION = """
    SELECT 'lot', lot.id, decision.id, 0
      FROM inventory_lot lot
      JOIN inventory_decision decision ON decision.lot_id = lot.id
     WHERE decision.id = (SELECT MAX(later.id) FROM inventory_decision later WHERE later.lot_id = lot.id)
       AND decision.after <> lot.disposition
"""

RELEASED_WHEN_USED = """
    SELECT DISTINCT 'event', event.id, posting.lot_id, decision.id
      FROM inventory_posting posting
      JOIN inventory_event event ON event.id = posting.event_id
      JOIN inventory_location place ON place.id = posting.to_location_id
      JOIN inventory_decision decision ON decision.lot_id = posting.lot_id
     WHERE place.kind IN ('process', 'transformed', 'customer')
       AND event.override_reason = '' AND event.kind NOT IN ('reverse', 'receive')
       AND decision.id = (SELECT MAX(earlier.id) FROM inventory_decision earlier
                           WHERE earlier.lot_id = posting.lot_id AND earlier.recorded_at < event.recorded_at)
       AND decision.after <> 'released'
"""
