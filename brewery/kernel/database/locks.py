"""Locks of more than a row: holding a whole table still, and doing a piece of work one after the other."""

from django.db import connection, models


def hold_still(model: type[models.Model]) -> None:
    """Nobody else writes to the table until the end of the transaction, and whoever was writing has finished.

    One holder at a time. SQLite has one writer anyway, whose transaction this is.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f'LOCK TABLE "{model._meta.db_table}" IN EXCLUSIVE MODE')


_TURNS = 0x7475726E
"""The class of the advisory locks that are turns: any number that nothing else here takes."""


def take_turn(number: int) -> None:
    """Nobody else has the turn of that number until the end of the transaction; rows are locked by none.

    SQLite has one writer anyway, whose transaction this is.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [_TURNS, number])
