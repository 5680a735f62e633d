"""What is built once is the same for every test that asks for it, and what a test does to it is gone afterwards."""

from dataclasses import dataclass, field
from itertools import count

import pytest
from django.db import connection, transaction

from brewery.kernel.models import User
from tests.brewhouse import person
from tests.standing import built_once

BUILT = count(1)


@dataclass
class Crew:
    """Somebody, and those who work with them; `built`: how many crews there were up to this one."""

    head: User
    built: int
    hands: list[str] = field(default_factory=list)


@built_once
def crew(db: None) -> Crew:
    transaction.on_commit(lambda: None)
    with transaction.atomic(durable=True):
        return Crew(person("foreman"), next(BUILT))


@built_once
def shift(crew: Crew) -> list[Crew]:
    person("apprentice")
    crew.hands.append("apprentice")
    return [crew]


@pytest.fixture(scope="module")
def shared() -> set[int]:
    """The crews that the tests of one claim saw."""
    return set()


@pytest.fixture
def waiting(db: None) -> int:
    """How many calls waited for the commit when the test began."""
    return len(connection.run_on_commit)


@pytest.mark.parametrize("turn", range(3))
def test_what_a_test_changes_is_as_before_for_the_next(turn: int, crew: Crew):
    assert (crew.head.username, crew.hands, User.objects.count()) == ("foreman", [], 1)
    crew.head.username = f"foreman {turn}"
    crew.head.save()
    crew.hands.append("idler")
    person("idler")


@pytest.mark.parametrize("turn", range(3))
def test_a_storey_stands_on_the_one_below_and_both_hand_out_one_object(turn: int, shift: list[Crew], crew: Crew):
    assert shift[0] is crew
    assert crew.hands == ["apprentice"]
    assert set(User.objects.values_list("username", flat=True)) == {"foreman", "apprentice"}
    User.objects.filter(username="apprentice").update(username="journeyman")


@pytest.mark.parametrize("turn", range(3))
def test_tests_that_ask_for_the_same_share_what_was_built(turn: int, crew: Crew, shared: set[int]):
    shared.add(crew.built)
    assert len(shared) == 1


@pytest.mark.django_db
def test_a_test_that_asks_for_nothing_finds_nothing():
    assert not User.objects.exists()


def test_no_call_waits_for_the_commit_of_what_was_built(crew: Crew, waiting: int):
    assert waiting == 0


@pytest.mark.django_db(transaction=True)
def test_with_a_transaction_of_its_own_a_test_has_it_built_anew(crew: Crew):
    assert not connection.in_atomic_block
    assert User.objects.get() == crew.head
