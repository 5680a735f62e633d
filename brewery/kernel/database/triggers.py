"""Triggers: rules that hold whoever writes, kept as data and installed after every migration.

SQLite drops a table's triggers when a migration remakes the table, and says nothing. So they are installed
again after each `migrate`, and the ledger audit and the start-up check look for every one of them by name.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper


@dataclass(frozen=True)
class Trigger:
    """One rule on one table, with its text for each database. `name` is the sentence it keeps.

    `reads` names a table of another app that the rule looks into: it is installed once that is there.
    """

    name: str
    table: str
    sqlite: str = ""
    postgresql: str = ""
    postgresql_function: str = field(default="", repr=False)
    reads: str = ""

    def text(self, vendor: str) -> str:
        """Return the CREATE TRIGGER text for `vendor`, or nothing where that database does not need it."""
        return self.sqlite if vendor == "sqlite" else self.postgresql


_REFUSE = """
CREATE OR REPLACE FUNCTION kernel_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '%', TG_NAME USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = TG_NAME;
END $$
"""


def refusal(name: str, table: str, when: str, operation: str) -> Trigger:
    """Return a trigger that refuses `operation` on `table`, always or where the condition `when` holds.

    `when` reads OLD and NEW alone: PostgreSQL takes no question in it.
    """
    condition = f"WHEN ({when}) " if when else ""
    return Trigger(
        name=name,
        table=table,
        sqlite=(
            f'CREATE TRIGGER "{name}" BEFORE {operation} ON {table} {condition}'
            f"BEGIN SELECT RAISE(ABORT, '{name}'); END"
        ),
        postgresql=(
            f'CREATE OR REPLACE TRIGGER "{name}" BEFORE {operation} ON {table} '
            f"FOR EACH ROW {condition}EXECUTE FUNCTION kernel_refuse()"
        ),
        postgresql_function=_REFUSE,
    )


def no_truncate(name: str, table: str) -> Trigger:
    """Return a trigger that refuses to empty the table at once, which row triggers do not see."""
    return Trigger(
        name=name,
        table=table,
        postgresql=(
            f'CREATE OR REPLACE TRIGGER "{name}" BEFORE TRUNCATE ON {table} '
            "FOR EACH STATEMENT EXECUTE FUNCTION kernel_refuse()"
        ),
        postgresql_function=_REFUSE,
    )


_registered: dict[str, Trigger] = {}


def register(triggers: Iterable[Trigger]) -> None:
    """Make `triggers` part of what `install_all` installs and `missing` looks for."""
    for trigger in triggers:
        _registered[trigger.name] = trigger


def expected(vendor: str) -> list[Trigger]:
    """Return the registered triggers that `vendor` needs."""
    return [trigger for trigger in _registered.values() if trigger.text(vendor)]


def install_all(connection: BaseDatabaseWrapper) -> None:
    """Create or replace every registered trigger whose table exists, all of them or none."""
    tables = set(connection.introspection.table_names())
    wanted = [
        trigger for trigger in expected(connection.vendor) if trigger.table in tables and trigger.reads in ("", *tables)
    ]
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        for statement in _statements(wanted, connection.vendor):
            cursor.execute(statement)


def _statements(triggers: Iterable[Trigger], vendor: str) -> Iterator[str]:
    triggers = list(triggers)
    if vendor == "sqlite":
        for trigger in triggers:
            yield f'DROP TRIGGER IF EXISTS "{trigger.name}"'
            yield trigger.sqlite
        return
    functions = dict.fromkeys(trigger.postgresql_function for trigger in triggers if trigger.postgresql_function)
    if triggers:
        yield ";\n".join([*functions, *(trigger.postgresql for trigger in triggers)])


def drop_all(connection: BaseDatabaseWrapper) -> None:
    """Drop every registered trigger: for a test that must empty the tables, never for a running brewery."""
    present = {trigger.name for trigger in expected(connection.vendor)} - set(missing(connection))
    with connection.cursor() as cursor:
        for trigger in expected(connection.vendor):
            if trigger.name not in present:
                continue
            where = "" if connection.vendor == "sqlite" else f' ON "{trigger.table}"'
            cursor.execute(f'DROP TRIGGER "{trigger.name}"{where}')


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of registered triggers that the database does not have, or has switched off."""
    question = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.vendor == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
    )
    with connection.cursor() as cursor:
        cursor.execute(question)
        present = {row[0] for row in cursor.fetchall()}
    return [trigger.name for trigger in expected(connection.vendor) if trigger.name not in present]
