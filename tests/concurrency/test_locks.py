"""Locks: an event takes all its lots at once and in order, so that nobody waits for anybody in a circle."""

import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import pytest
from django.db import connections

from brewery.kernel.errors import DomainError
from brewery.production.models import Brew
from inventory.models import Event, Link, Lot, Posting
from inventory.services import decisions, posting
from tests.brewhouse import Brewhouse


@contextmanager
def locks_told() -> Iterator[list[list[int]]]:
    """Yield the ids of the lots that each call locks, in the order in which they are locked."""
    calls: list[list[int]] = []
    lock = posting.lock_lots

    def lock_and_tell(lots: Iterable[Lot]) -> dict[int, Lot]:
        locked = lock(lots)
        calls.append(list(locked))
        return locked

    with pytest.MonkeyPatch.context() as patch:
        for module in (posting, decisions):
            patch.setattr(module, "lock_lots", lock_and_tell)
        yield calls


def ready_to_knock_out(house: Brewhouse) -> Brew:
    """What was drawn is younger than what the tanks hold, so that the order of locks matters."""
    house.deliver("PILS", "M2", "100 kg", hours=400)
    brew = house.start_brew("B2", hours=401)
    house.draw(brew, ("M2", "STORE", "100 kg"), hours=401)
    return brew


STEPS: dict[str, Callable[[Brewhouse], object]] = {
    "draw": lambda house: house.draw(house.brew("B2"), ("S1", "STORE", "1 kg"), ("H1", "STORE", "1 kg"), hours=402),
    "refill": lambda house: house.deliver("PILS", "M3", "9 kg", "SILO1", contents_code="MS1", hours=402),
    "knock out": lambda house: house.knock_out(
        house.brew("B2"), "W2", {"BT1": ("100 L", "T2"), "FV1": ("50 L", "T3")}, hours=402
    ),
    "harvest": lambda house: house.harvest("BT1", "10 L", "Y3", "11 kg", "COLD", hours=402),
    "propagate": lambda house: house.propagate(
        "Y3", ("Y1", "COLD", "1 kg"), ("S1", "STORE", "1 kg"), ("M1", "SILO1", "1 kg"), hours=402
    ),
    "add": lambda house: house.add("BT1", "T2", ("S1", "STORE", "1 kg"), ("F1", "COLD", "1 L"), hours=402),
    "pitch": lambda house: house.pitch("BT1", "T2", ("Y2", "BRINK1", "1 kg"), ("Y1", "COLD", "1 kg"), hours=402),
    "blend": lambda house: house.transfer("FV1", "BT1", "1 L", contents="T2", hours=402),
    "filter": lambda house: house.filter("BT1", "FV2", "T2", "1 L", ("A1", "STORE", "1 kg"), hours=402),
    "count": lambda house: house.count("H1", "STORE", "17 kg", hours=402),
    "reverse": lambda house: house.reverse(Event.objects.get(kind=Event.Kind.TAKE_BACK)),
}


@pytest.mark.parametrize("step", STEPS)
def test_an_event_locks_all_its_lots_at_once_and_in_order(brewhouse: Brewhouse, step: str):
    brewhouse.whole_chain()
    ready_to_knock_out(brewhouse)
    last_lot, last_event = Lot.objects.latest("pk").pk, Event.objects.latest("pk").pk
    with locks_told() as calls:
        STEPS[step](brewhouse)
    first = calls[0]
    assert first == sorted(first)
    # What a later call locks was locked by the first, or was made in between and is seen by nobody else.
    assert [lot for call in calls[1:] for lot in call if lot not in first and lot <= last_lot] == []
    used = Posting.objects.filter(event__gt=last_event, lot__lte=last_lot).values_list("lot", flat=True)
    parents = Link.objects.filter(event__gt=last_event, parent__lte=last_lot).values_list("parent", flat=True)
    assert {*used, *parents} == set(first)


def test_a_decision_locks_its_lot(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    with locks_told() as calls:
        brewhouse.decide("H1", "on_hold", hours=1)
    assert calls == [[brewhouse.lot("H1").pk]]


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_of_two_who_reverse_one_event_at_once_one_is_told(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    event = brewhouse.move("H1", "STORE", "COLD", "5 kg", hours=1)
    both = threading.Barrier(2, timeout=60)

    def reverse(_: int) -> str:
        try:
            both.wait()
            brewhouse.reverse(event)
        except DomainError as refused:
            return type(refused).__name__
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(2) as threads:
        assert sorted(threads.map(reverse, range(2))) == ["AlreadyReversed", "done"]
    assert brewhouse.held("H1", "STORE") == 20_000_000
