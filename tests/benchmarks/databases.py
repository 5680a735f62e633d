"""The databases of the benchmarks: one a history, made when missing, and never any other."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import django
import psycopg
from django.core.management import call_command
from django.db import connection, connections

from tests.network import is_local

DEFAULT = "postgres://postgres@127.0.0.1:5432/grainward_bench"
NAMED = "grainward_bench"


@dataclass(frozen=True)
class History:
    """One history and the database that holds it: the given name, with the history's own after it."""

    database: str
    links: int
    reconvergent: bool = False

    @property
    def name(self) -> str:
        """The history's name, part of its database's."""
        return f"{self.links}{'_reconvergent' if self.reconvergent else ''}"

    @property
    def url(self) -> str:
        """Where it lies."""
        return f"{self.database}_{self.name}{'.sqlite3' if self.database.startswith('sqlite') else ''}"


class NotOurs(Exception):
    """The database named is not one that a benchmark may make, fill and drop."""


def refuse_other_databases(database: str) -> None:
    """Raise NotOurs unless the database is on this machine and its name says that it is the benchmarks'."""
    parts = urlsplit(database)
    if not Path(parts.path).name.startswith(NAMED):
        raise NotOurs(f"Give a database whose name begins with {NAMED}.")
    if parts.scheme != "sqlite" and not is_local((parts.hostname, parts.port)):
        raise NotOurs("Give a database on this machine.")


def set_up(database: str) -> None:
    """Start Django on the benchmarks' database. Raises NotOurs."""
    refuse_other_databases(database)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "brewery.project.settings")
    os.environ["DATABASE_URL"] = database
    os.environ["DEBUG"] = "false"  # or every statement is kept, and written out a second time
    django.setup()
    connections.settings["default"]["OPTIONS"].pop("pool", None)
    connections.settings["default"]["CONN_MAX_AGE"] = None


@contextmanager
def using(history: History) -> Iterator[None]:
    """The default connection is one to the history's database, and stays open for the next time."""
    if history.name not in connections.settings:
        place = urlsplit(history.url).path
        name = place[1:] if history.url.startswith("sqlite") else Path(place).name
        connections.settings[history.name] = {**connections.settings["default"], "NAME": name}
    before = connections["default"]
    connections["default"] = connections[history.name]
    try:
        yield
    finally:
        connections["default"] = before


def exists(history: History) -> bool:
    """Return whether the history is there, whole: its last step leaves a mark."""
    if history.url.startswith("sqlite"):
        return Path(f"{urlsplit(history.url).path[1:]}.whole").exists()
    with _server(history) as server:
        question = "SELECT shobj_description(oid, 'pg_database') FROM pg_database WHERE datname = %s"
        row = server.execute(question, [_name(history)]).fetchone()
    return bool(row and row[0] == "whole")


def make_empty(history: History) -> None:
    """A new database stands under the history's name, migrated and without records."""
    if history.url.startswith("sqlite"):
        for end in ("", "-wal", "-shm", ".whole"):
            Path(f"{urlsplit(history.url).path[1:]}{end}").unlink(missing_ok=True)
    else:
        with _server(history) as server:
            server.execute(f'DROP DATABASE IF EXISTS "{_name(history)}"')
            server.execute(f'CREATE DATABASE "{_name(history)}"')
    with using(history):
        call_command("migrate", verbosity=0)


def finish(history: History) -> None:
    """The database is vacuumed, its statistics are fresh, and it is marked as whole."""
    with using(history), connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("ANALYZE")
            Path(f"{urlsplit(history.url).path[1:]}.whole").touch()
        else:
            cursor.execute("VACUUM (ANALYZE)")
            cursor.execute("CHECKPOINT")
            cursor.execute(f"COMMENT ON DATABASE \"{_name(history)}\" IS 'whole'")


def _name(history: History) -> str:
    return Path(urlsplit(history.url).path).name


def _server(history: History) -> psycopg.Connection:
    parts = urlsplit(history.url)
    return psycopg.connect(parts._replace(path="/postgres").geturl(), autocommit=True)
