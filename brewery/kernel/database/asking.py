"""Asking the database a question of our own text, of the kind that is asked again and again."""

from collections.abc import Callable, Sequence
from typing import Any

from django.db import connection


def rows_of(sql: str, parameters: Sequence[Any]) -> list[tuple[Any, ...]]:
    """Ask, and return all rows. PostgreSQL keeps the plan of a question that one connection asks more than five times.

    Raises django.db.Error as any other question does.
    """
    with _cursor() as cursor:
        cursor.execute(sql, parameters)
        return list(cursor.fetchall())


def _cursor() -> Any:
    """Return a cursor; on PostgreSQL one that sends parameters apart from the text, without which no plan is kept."""
    if connection.vendor == "sqlite":
        return connection.cursor()
    from psycopg import Cursor

    connection.ensure_connection()
    make: Callable[[Any], Any] = connection.make_debug_cursor if connection.queries_logged else connection.make_cursor
    return make(Cursor(connection.connection))
