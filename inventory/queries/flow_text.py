# ruff: noqa: S608  the only text put into these is code
"""The text that makes day and year flows of postings: for the trigger that keeps them, their audit and making anew."""

KEYS = "day, recorded_on, material_id, kind, from_kind, to_kind"
"""The columns of a day flow that tell it from others, but for its slot."""

YEAR_KEYS = "year, material_id, kind, from_kind, to_kind"
"""The columns of a year flow that tell it from others, but for its slot."""

_OFFSET = (
    "(SELECT clock.seconds FROM inventory_clockoffset clock WHERE clock.since <= {moment}"
    " ORDER BY clock.since DESC LIMIT 1)"
)


def flow_of_new(vendor: str) -> str:
    """Return the question for the day flow of the posting that a trigger is about."""
    return _flows("NEW", "inventory_event event", "WHERE event.id = NEW.event_id", vendor)


def flows_of_all(vendor: str) -> str:
    """Return the question for the day flow of every posting, one row each."""
    every = "inventory_posting posting JOIN inventory_event event ON event.id = posting.event_id"
    return _flows("posting", every, "WHERE 1 = 1", vendor)


def year_of(vendor: str) -> str:
    """Return the year of a flow's day."""
    return "CAST(substr(day, 1, 4) AS integer)" if vendor == "sqlite" else "CAST(EXTRACT(YEAR FROM day) AS smallint)"


def years_of_days(vendor: str) -> str:
    """Return the question for what the year flows are by the day flows."""
    return f"""
    SELECT {year_of(vendor)} AS year, material_id, kind, from_kind, to_kind,
           CAST(SUM(quantity_micro) AS bigint) AS quantity_micro
      FROM inventory_dayflow
     GROUP BY {year_of(vendor)}, material_id, kind, from_kind, to_kind
    """


def _flows(posting: str, source: str, where: str, vendor: str) -> str:
    """What reverses is taken off what it reverses: the other way round, and less than nothing."""
    return f"""
    SELECT {_day("event.happened_at", vendor)} AS day, {_day("event.recorded_at", vendor)} AS recorded_on,
           lot.material_id AS material_id, COALESCE(undone.kind, event.kind) AS kind,
           CASE WHEN undone.id IS NULL THEN origin.kind ELSE target.kind END AS from_kind,
           CASE WHEN undone.id IS NULL THEN target.kind ELSE origin.kind END AS to_kind,
           CASE WHEN undone.id IS NULL THEN {posting}.quantity_micro ELSE -{posting}.quantity_micro END
             AS quantity_micro
      FROM {source}
      LEFT JOIN inventory_event undone ON undone.id = event.reverses_id
      JOIN inventory_lot lot ON lot.id = {posting}.lot_id
      JOIN inventory_location origin ON origin.id = {posting}.from_location_id
      JOIN inventory_location target ON target.id = {posting}.to_location_id
     {where}
    """


def _day(column: str, vendor: str) -> str:
    """The brewery's day of a moment. SQLite rounds to milliseconds, which must not end a day early."""
    offset = _OFFSET.format(moment=column)
    if vendor == "sqlite":
        return f"date(substr({column}, 1, 19), {offset} || ' seconds')"
    return f"CAST(({column} AT TIME ZONE 'UTC') + {offset} * INTERVAL '1 second' AS date)"
