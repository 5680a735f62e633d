"""Writing a made-up history straight into the real schema, faster than the services could.

The rules are off while rows go in; balances, counts and day flows are then summed from the postings, which is what
the rules would have kept.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import chain
from typing import Any

from django.db import connection, transaction

from brewery.kernel.database import triggers
from brewery.kernel.models import User
from inventory.models import Location
from inventory.services.day_flows import make_anew
from tests.benchmarks.history import COLUMNS, Book, Rates, write

EVENTS_AT_ONCE = 20_000

_HALVES = """
    SELECT lot_id, to_location_id AS location_id, quantity_micro AS quantity FROM inventory_posting
    UNION ALL
    SELECT lot_id, from_location_id, -quantity_micro FROM inventory_posting
"""
_BALANCES = f"""
    INSERT INTO inventory_balance (lot_id, location_id, quantity_micro, holds_one_lot, may_go_below_zero)
    SELECT sums.lot_id, sums.location_id, sums.quantity, place.holds_one_lot, place.may_go_below_zero
      FROM (SELECT lot_id, location_id, CAST(SUM(quantity) AS bigint) AS quantity FROM ({_HALVES}) halves
             GROUP BY lot_id, location_id) sums
      JOIN inventory_location place ON place.id = sums.location_id
     ORDER BY sums.lot_id, sums.location_id
"""
_COUNTED = """
    UPDATE inventory_lot SET counted_micro = -(
        SELECT quantity_micro FROM inventory_balance
         WHERE lot_id = inventory_lot.id AND location_id = %(differences)s)
     WHERE id IN (SELECT lot_id FROM inventory_balance WHERE location_id = %(differences)s)
"""


def load(links: int, rates: Rates) -> Book:
    """Write the history into the default database, which has been migrated and holds no records. Return its book."""
    boundaries = dict(Location.objects.values_list("kind", "pk"))
    actor = User.objects.create_user("benchmark", is_superuser=True)
    book = Book(boundaries, max(boundaries.values()) + 1, actor.pk)
    with rules_off():
        for number, _ in enumerate(write(book, links, rates), 1):
            if number % EVENTS_AT_ONCE == 0:
                _insert(book.take())
        _insert(book.take())
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(_BALANCES)
            cursor.execute(_COUNTED, {"differences": boundaries["count_difference"]})
            make_anew()
    _set_sequences()
    return book


@contextmanager
def rules_off() -> Iterator[None]:
    """Without our triggers, and where the server lets us without the checks of foreign keys, which hold by making."""
    triggers.drop_all(connection)
    with connection.cursor() as cursor:
        is_superuser = connection.vendor == "postgresql" and _one(
            "SELECT rolsuper FROM pg_roles WHERE rolname = current_user"
        )
        if is_superuser:
            cursor.execute("SET session_replication_role = replica")
        yield
        if is_superuser:
            cursor.execute("SET session_replication_role = origin")
        connection.check_constraints()
    triggers.install_all(connection)


def _one(question: str) -> Any:
    with connection.cursor() as cursor:
        cursor.execute(question)
        return cursor.fetchone()[0]


def _insert(rows: dict[str, list[tuple[Any, ...]]]) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        for table, columns in COLUMNS.items():
            if connection.vendor == "sqlite":
                marks = ", ".join(["%s"] * len(columns))
                adapted = [tuple(_for_sqlite(value) for value in row) for row in rows[table]]
                cursor.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})", adapted)
            else:
                with cursor.copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN") as copy:
                    for row in rows[table]:
                        copy.write_row(row)


def _for_sqlite(value: Any) -> Any:
    if hasattr(value, "tzinfo"):
        return connection.ops.adapt_datetimefield_value(value)
    return getattr(value, "hex", value)


def _set_sequences() -> None:
    """What is written next gets ids above those loaded."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            for table in chain(COLUMNS, ["inventory_balance"]):
                if table != "kernel_request":
                    cursor.execute(
                        f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), (SELECT MAX(id) FROM {table}))"
                    )
