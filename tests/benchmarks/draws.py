"""Draws through the service, against the very same statements sent by bare psycopg."""

from collections.abc import Callable, Sequence
from datetime import timedelta
from time import perf_counter
from typing import Any
from uuid import uuid4

from django.db import connection, transaction

from brewery.kernel.clock import now
from brewery.kernel.models import User
from brewery.production.models import Brew
from brewery.production.services.work import draw_for, start_brew
from inventory.models import Balance, Material
from inventory.services.stock import Part

ROUNDS = 10
Statement = tuple[str, Any]


def draws_a_second(count: int) -> tuple[float, float, int]:
    """Return draws a second through the service, the same by bare psycopg, and how many statements one draw takes.

    Both take turns, in transactions that are thrown away, so neither waits for the disk; the quickest turn counts.
    """
    actor = User.objects.get(username="benchmark")
    parts = [Part(balance.lot, balance.location, 1_000_000) for balance in _drawable(count)]
    size = count // ROUNDS
    turns = [_turn(parts[first : first + size], actor) for first in range(0, size * ROUNDS, size)]
    service, bare = (min(times) for times in zip(*(times for times, _ in turns), strict=True))
    return size / service, size / bare, turns[0][1] // size


def _turn(parts: Sequence[Part], actor: User) -> tuple[tuple[float, float], int]:
    """Return the seconds that the draws take either way, and how many statements they are."""
    statements: list[Statement] = []
    with transaction.atomic():
        brew = _brew(actor)
        with connection.execute_wrapper(_noting(statements)):
            service = _seconds(lambda: [_draw(brew, part, actor) for part in parts])
        transaction.set_rollback(True)
    return (service, _replayed(statements)), len(statements)


def _brew(actor: User) -> Brew:
    beer = Material.objects.filter(kind=Material.Kind.BEER).first()
    assert beer is not None
    return start_brew(code=f"bench-{uuid4().hex[:8]}", beer=beer, started_at=_then(), actor=actor, request_id=uuid4())


def _draw(brew: Brew, part: Part, actor: User) -> None:
    draw_for(work=brew, parts=[part], happened_at=_then(), actor=actor, request_id=uuid4())


def _then() -> Any:
    return now() - timedelta(minutes=1)


def _drawable(count: int) -> list[Balance]:
    rows = Balance.objects.filter(location__kind="store", quantity_micro__gt=1_000_000).order_by("pk")
    return list(rows.select_related("lot__material", "location")[:count])


def _noting(statements: list[Statement]) -> Callable[..., Any]:
    def note(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        statements.append((sql, params))
        return execute(sql, params, many, context)

    return note


def _replayed(statements: list[Statement]) -> float:
    """Return the seconds that the statements take by psycopg's own cursor. Their events were thrown away with their
    transaction, and so are these: keys to them are never looked at.
    """
    connection.ensure_connection()
    raw = connection.connection
    assert raw is not None
    with transaction.atomic():
        seconds = _seconds(lambda: _send(raw.cursor(), statements))
        transaction.set_rollback(True)
    return seconds


def _send(cursor: Any, statements: list[Statement]) -> None:
    for sql, params in statements:
        cursor.execute(sql, params)
        if cursor.description:
            cursor.fetchall()


def _seconds(work: Callable[[], Any]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start
