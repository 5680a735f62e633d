"""Whether day flows are the sum of their postings, and year flows of their days, by every one of their keys."""

from collections.abc import Iterator
from typing import Any

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
_OF_YEARS = """
    SELECT material_id, year, from_kind, to_kind, kind, CAST(SUM(kept) AS bigint), CAST(SUM(summed) AS bigint)
      FROM (SELECT {keys}, quantity_micro AS kept, 0 AS summed FROM inventory_yearflow
             UNION ALL
            SELECT {keys}, 0, quantity_micro FROM ({days}) flow) sides
     GROUP BY {keys}
    HAVING SUM(kept) <> SUM(summed)
"""


def flows_that_disagree() -> Iterator[tuple[int, str]]:
    """Yield each disagreement with its material; where the days are not the brewery's own, that, of no material."""
    if not days_are_the_brewerys_own():
        yield 0, "its days are those of another time zone than the brewery's; `manage.py migrate` makes them anew"
    vendor = connection.vendor
    days = _QUESTION.format(keys=flow_text.KEYS, every=flow_text.flows_of_all(vendor))
    for material, day, *way, kept, posted in _told(days):
        yield material, f"on {day}, {_words(*way)}: the day flow says {kept}, the postings {posted} micro-units"
    years = _OF_YEARS.format(keys=flow_text.YEAR_KEYS, days=flow_text.years_of_days(vendor))
    for material, year, *way, kept, summed in _told(years):
        yield material, f"in {year}, {_words(*way)}: the year flow says {kept}, its days {summed} micro-units"


def _told(question: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(question)
        rows: list[tuple[Any, ...]] = cursor.fetchall()
    return rows


def _words(source: str, target: str, kind: str) -> str:
    return f"{kind}, {source} to {target}".replace("_", " ")
