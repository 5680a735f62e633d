"""Requests: what was asked under one id is done once, however often and by however many it is asked."""

import dataclasses
import threading
import uuid
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from django.db import OperationalError, connection, connections, transaction

from brewery.kernel.access import Role
from brewery.kernel.errors import RequestIdReused
from brewery.kernel.models import Request
from brewery.kernel.plain import plain
from inventory.models import Event, Location, Lot
from inventory.services import decisions, deliveries, disposals, moves
from inventory.services.refusals import NotEnoughThere
from tests.brewhouse import Brewhouse, at, micro, rid
from tests.ledger import everything_written, refused
from tests.standing import built_once

LONG_S = 60
"""How long a thread waits for another before the test fails, where it would otherwise wait for ever."""


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.deliver("CASCADE", "H2", "20 kg")
    return brewhouse


def move(house: Brewhouse, request_id: UUID, **other: Any) -> Event:
    facts = {
        "lot": house.lot("H1"),
        "from_location": house.place("STORE"),
        "to_location": house.place("COLD"),
        "quantity_micro": micro("5 kg"),
        "happened_at": at(1),
        "reason": "shelf is full",
        "actor": house.people["receiving"],
        **other,
    }
    return moves.move_stock(request_id=request_id, **facts)


def test_a_request_is_kept_with_who_asked_for_what(hops: Brewhouse):
    event = move(hops, request_id := rid())
    request = Request.objects.get(pk=request_id)
    assert (request.action, request.actor, request.result_id) == ("move_stock", hops.people["receiving"], event.pk)
    assert request.content == {
        "lot": f"inventory.lot:{hops.lot('H1').pk}",
        "from_location": f"inventory.location:{hops.place('STORE').pk}",
        "to_location": f"inventory.location:{hops.place('COLD').pk}",
        "quantity_micro": 5_000_000,
        "happened_at": "2026-03-02T09:00:00+00:00",
        "reason": "shelf is full",
    }


def test_the_same_request_again_gives_the_same_answer_and_writes_nothing(hops: Brewhouse):
    event = move(hops, request_id := rid())
    written = everything_written()
    assert move(hops, request_id) == event
    assert everything_written() == written
    assert hops.held("H1", "COLD") == micro("5 kg")


def test_the_same_request_again_is_answered_even_where_it_could_not_be_done_twice(hops: Brewhouse):
    event = move(hops, request_id := rid(), quantity_micro=micro("20 kg"))
    with refused(NotEnoughThere, "Dry store holds 0 kg of lot H1; 20 kg was asked for."):
        move(hops, rid(), quantity_micro=micro("20 kg"))
    assert move(hops, request_id, quantity_micro=micro("20 kg")) == event


def test_the_same_moment_in_another_time_zone_is_the_same_content(hops: Brewhouse):
    event = move(hops, request_id := rid())
    assert move(hops, request_id, happened_at=at(1).astimezone(timezone(timedelta(hours=-8)))) == event


@pytest.mark.parametrize(
    ("field", "other"),
    [
        ("lot", lambda house: house.lot("H2")),
        ("from_location", lambda house: house.place("COLD")),
        ("to_location", lambda house: house.place("BRINK1")),
        ("quantity_micro", lambda house: micro("5.000001 kg")),
        ("happened_at", lambda house: at(1) + timedelta(microseconds=1)),
        ("reason", lambda house: "shelf is fuller"),
    ],
)
def test_other_content_under_the_same_id_is_refused_by_name(
    hops: Brewhouse, field: str, other: Callable[[Brewhouse], Any]
):
    move(hops, request_id := rid())
    with refused(RequestIdReused, f"Request {request_id} was used before with another {field}.", field=field):
        move(hops, request_id, **{field: other(hops)})


def test_of_several_differences_the_first_by_name_is_told(hops: Brewhouse):
    move(hops, request_id := rid())
    sentence = f"Request {request_id} was used before with another quantity_micro."
    with refused(RequestIdReused, sentence, field="quantity_micro"):
        move(hops, request_id, reason="another", quantity_micro=1)


def test_a_value_deep_in_a_line_is_content_too(brewhouse: Brewhouse):
    def receive(best_before: date | None) -> Event:
        line = deliveries.ReceivedLot(
            brewhouse.material("SAAZ"), "H1", micro("1 kg"), brewhouse.place("STORE"), best_before=best_before
        )
        return deliveries.receive_delivery(
            supplier=brewhouse.party("HOPYARD"),
            note_number="1",
            lines=[line],
            happened_at=at(0),
            actor=brewhouse.people["receiving"],
            request_id=request_id,
        )

    request_id = rid()
    event = receive(date(2027, 1, 1))
    assert receive(date(2027, 1, 1)) == event
    with refused(RequestIdReused, f"Request {request_id} was used before with another lines.", field="lines"):
        receive(date(2027, 1, 2))


def test_another_action_under_the_same_id_is_refused(hops: Brewhouse):
    move(hops, request_id := rid())
    with refused(RequestIdReused, f"Request {request_id} was used before with another action.", field="request_id"):
        disposals.destroy(
            lot=hops.lot("H1"),
            location=hops.place("STORE"),
            quantity_micro=1,
            reason="mould",
            happened_at=at(1),
            actor=hops.people["quality"],
            request_id=request_id,
        )


def test_another_person_under_the_same_id_is_refused(hops: Brewhouse):
    move(hops, request_id := rid())
    with refused(RequestIdReused, f"Request {request_id} was used before with another person.", field="request_id"):
        move(hops, request_id, actor=hops.people["brewing"])


def test_what_was_refused_is_free_to_be_asked_again(hops: Brewhouse):
    request_id = rid()
    with refused(NotEnoughThere, "Dry store holds 20 kg of lot H1; 21 kg was asked for."):
        move(hops, request_id, quantity_micro=micro("21 kg"))
    move(hops, request_id, quantity_micro=micro("20 kg"))
    assert hops.held("H1", "COLD") == micro("20 kg")


def test_the_answer_is_what_the_first_one_made_whatever_kind_it_is(hops: Brewhouse):
    facts = {"lot": hops.lot("H1"), "disposition": "on_hold", "reason": "smells", "happened_at": at(1)}
    again = {"actor": hops.people["quality"], "request_id": rid()}
    decision = decisions.decide_on_lot(**facts, **again)
    hops.decide("H1", "released", hours=2)
    assert decisions.decide_on_lot(**facts, **again) == decision
    assert hops.lot("H1").disposition == "released"


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_two_who_ask_at_once_get_one_answer_and_one_effect(hops: Brewhouse):
    together, request_id = threading.Barrier(2, timeout=LONG_S), rid()

    def ask(_: int) -> int:
        try:
            together.wait()
            return move(hops, request_id).pk
        finally:
            connections.close_all()

    with ThreadPoolExecutor(2) as threads:
        first, second = threads.map(ask, range(2))
    assert first == second
    assert Event.objects.filter(kind=Event.Kind.MOVE).count() == 1
    assert hops.held("H1", "COLD") == micro("5 kg")


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_who_asks_while_the_same_is_being_done_waits_for_its_answer(hops: Brewhouse, monkeypatch: pytest.MonkeyPatch):
    """The first has claimed the id and goes no further before the second was seen to wait for it."""
    request_id, claimed, seen_to_wait, heel_of = rid(), threading.Event(), threading.Event(), moves.heel_of

    def heel_of_once_the_other_waits(place: Location) -> Lot | None:
        claimed.set()
        seen_to_wait.wait(LONG_S)
        return heel_of(place)

    def first() -> Event:
        try:
            return move(hops, request_id)
        finally:
            connections.close_all()

    def impatiently() -> Event:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET LOCAL lock_timeout = 1")
            return move(hops, request_id)

    monkeypatch.setattr(moves, "heel_of", heel_of_once_the_other_waits)
    with ThreadPoolExecutor(1) as threads:
        answer = threads.submit(first)
        try:
            assert claimed.wait(LONG_S)
            with pytest.raises(OperationalError, match="lock timeout"):
                impatiently()
        finally:
            seen_to_wait.set()
        assert move(hops, request_id) == answer.result()
    assert Event.objects.filter(kind=Event.Kind.MOVE).count() == 1


@dataclasses.dataclass(frozen=True)
class Line:
    code: str
    day: date


@pytest.mark.parametrize(
    ("value", "kept"),
    [
        (None, None),
        (True, True),
        (5, 5),
        ("text", "text"),
        (Decimal("1.50"), "1.50"),
        (date(2026, 3, 2), "2026-03-02"),
        (datetime(2026, 3, 2, 9, tzinfo=timezone(timedelta(hours=1))), "2026-03-02T08:00:00+00:00"),
        (uuid.UUID(int=5), "00000000-0000-0000-0000-000000000005"),
        (Role.BREWING, "brewing"),
        ([1, (2, "x")], [1, [2, "x"]]),
        ({1: date(2026, 3, 2)}, {"1": "2026-03-02"}),
        ([Line("H1", date(2026, 3, 2))], [{"code": "H1", "day": "2026-03-02"}]),
    ],
)
def test_content_is_kept_plainly(value: object, kept: object):
    assert plain(value) == kept


def test_what_json_cannot_hold_is_no_content():
    with pytest.raises(TypeError, match="not JSON serializable"):
        plain({1, 2})
