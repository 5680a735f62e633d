"""Holding a whole table still: for the rare reader who must know that nobody is in the middle of writing to it."""

from django.db import connection, models


def hold_still(model: type[models.Model]) -> None:
    """Nobody else writes to the table until the end of the transaction, and whoever was writing has finished.

    One holder at a time. SQLite has one writer anyway, whose transaction this is.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f'LOCK TABLE "{model._meta.db_table}" IN EXCLUSIVE MODE')
