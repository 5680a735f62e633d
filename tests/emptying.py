"""Empties every table between tests whose transactions are their own, past the triggers of append-only tables."""

from django.core.management.sql import emit_post_migrate_signal
from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from brewery.kernel.database import triggers


def empty(connection: BaseDatabaseWrapper) -> None:
    """Delete all rows, and bring back what every migration leaves: kinds of rights, roles, boundaries, triggers.

    Only tables with rows are touched: truncating all of them takes PostgreSQL longer than most tests.
    """
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        filled = _filled(connection)
        on_postgresql = connection.vendor == "postgresql"
        if on_postgresql:
            statements = [
                *(f'ALTER TABLE "{table}" DISABLE TRIGGER USER' for table in filled),
                *(f'DELETE FROM "{table}"' for table in filled),
                "SET CONSTRAINTS ALL IMMEDIATE",
                *(f'ALTER TABLE "{table}" ENABLE TRIGGER USER' for table in filled),
            ]
        else:
            lost = set(triggers.missing(connection))
            guards = [one for one in triggers.expected("sqlite") if one.table in filled and one.name not in lost]
            statements = [
                *(f'DROP TRIGGER "{one.name}"' for one in guards),
                *(f'DELETE FROM "{table}"' for table in filled),
            ]
        for statement in statements:
            cursor.execute(statement)
    emit_post_migrate_signal(0, False, connection.alias)


def _filled(connection: BaseDatabaseWrapper) -> list[str]:
    tables = connection.introspection.django_table_names(only_existing=True, include_views=False)
    asked = " UNION ALL ".join(f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM \"{table}\")" for table in tables)
    with connection.cursor() as cursor:
        cursor.execute(asked)
        return [row[0] for row in cursor.fetchall()]
