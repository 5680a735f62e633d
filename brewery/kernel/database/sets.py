"""Sets of ids as one parameter, however many there are."""

import json
from collections.abc import Iterable
from typing import Any

from django.db import connection


def in_set(column: str, ids: Iterable[int]) -> tuple[str, list[Any]]:
    """Return a condition that `column` is among `ids`, and its one parameter. `column` is code, never input."""
    if connection.vendor == "sqlite":
        return f"{column} IN (SELECT value FROM json_each(%s))", [json.dumps(list(ids))]  # noqa: S608
    return f"{column} = ANY(%s)", [list(ids)]
