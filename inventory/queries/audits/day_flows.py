"""Whether the day flows are the sum of their postings, by every one of their keys."""

from collections.abc import Iterator

from django.db import connection

from inventory.queries import flow_text
from inventory.queries.brewery_days import days_are_the_brewerys_own

_QUESTION = """
    SELECT material_id, day, from_kind, to_kind, kind, CAST(SUM(kept) AS bigint), CAST(SUM(posted) AS bigint)
      FROM (SELECT {keys}, quantity_micro AS kept, 0 AS posted FROM inventory_dayflow
             UNION ALL
            SELECT {keys}, 0, quantity_micro FROM ({every}) flow) sides
     GROUP BY {keys}
    HAVING SUM(kept) <> SUM(posted)
"""


def flows_that_disagree() -> Iterator[tuple[int, str]]:
    """Yield each disagreement with its material; where the days are not the brewery's own, that, of no material."""
    if not days_are_the_brewerys_own():
        yield 0, "its days are those of another time zone than the brewery's; `manage.py migrate` makes them anew"
    with connection.cursor() as cursor:
        cursor.execute(_QUESTION.format(keys=flow_text.KEYS, every=flow_text.flows_of_all(connection.vendor)))
        rows = cursor.fetchall()
    for material, day, source, target, kind, kept, posted in rows:
        way = f"{kind}, {source} to {target}".replace("_", " ")
        yield material, f"on {day}, {way}: the day flow says {kept}, the postings {posted} micro-units"
