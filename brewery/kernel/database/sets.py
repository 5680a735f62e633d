"""Sets of ids in a question, however many there are: as one parameter, found by another question, or in portions."""

import json
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, TypeVar

from django.db import connection

Row = TypeVar("Row")

AT_ONCE = 500
"""How many rows or values one statement takes on either database, with room to spare."""


def in_set(column: str, ids: Iterable[int]) -> tuple[str, list[Any]]:
    """Return a condition that `column` is among `ids`, and its one parameter. `column` is code, never input."""
    if connection.vendor == "sqlite":
        return f"{column} IN (SELECT value FROM json_each(%s))", [json.dumps(list(ids))]  # noqa: S608
    return f"{column} = ANY(%s)", [list(ids)]


def among(column: str, question: str) -> str:
    """Return a condition that `column` is among the ids that `question` finds. Both are code, never input.

    PostgreSQL cannot know how many a recursive question finds, and would read the whole table for fear of many; given
    an array, it looks up each.
    """
    return f"{column} IN ({question})" if connection.vendor == "sqlite" else f"{column} = ANY(ARRAY({question}))"


def portions(rows: Iterable[Row], size: int = AT_ONCE) -> Iterator[list[Row]]:
    """Yield the rows in portions of so many, without reading further than the portion needs."""
    waiting = iter(rows)
    while portion := list(islice(waiting, size)):
        yield portion
