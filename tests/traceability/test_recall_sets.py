"""A recall is never too small: the beer itself, poured from container to container, is the judge.

`HISTORIES` in the environment sets how many histories are poured; the same seed pours the same.
"""

import os
from collections.abc import Iterator
from random import Random

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import Link, Lot
from tests.brewhouse import Brewhouse
from tests.histories import History
from tests.pouring import Pouring
from traceability.queries.families import family_of
from traceability.queries.graph import ALL_KINDS

HISTORIES = int(os.environ.get("HISTORIES", "10"))
INGREDIENT = frozenset({Link.Kind.INGREDIENT})

Containers = set[tuple[str, str]]
"""What is chalked on a container, and where it is."""

pytestmark = pytest.mark.django_db


@settings(
    max_examples=HISTORIES,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32), steps=st.integers(min_value=12, max_value=40))
def test_every_container_that_holds_some_of_a_bad_lot_is_in_its_recall(brewhouse: Brewhouse, seed: int, steps: int):
    """And over ingredients alone exactly those that it was poured into, by itself or in something."""
    with transaction.atomic():
        for bad, poured in bad_lots(played(brewhouse, seed, steps)):
            assert holding(poured, bad) <= recalled(bad, ALL_KINDS), bad
            assert holding(poured, bad, traces=False) == recalled(bad, INGREDIENT), bad
        transaction.set_rollback(True)


def test_the_judge_finds_what_a_recall_that_forgot_carryover_would_miss(brewhouse: Brewhouse):
    history = played(brewhouse, 1, 40)
    assert any(holding(poured, bad) - recalled(bad, INGREDIENT) for bad, poured in bad_lots(history))


def played(brewhouse: Brewhouse, seed: int, steps: int) -> History:
    history = History(brewhouse, Random(seed))
    history.play(steps)
    return history


def bad_lots(history: History) -> Iterator[tuple[str, Pouring]]:
    """Every lot that a supplier brought may have been the bad one; each with all containers as they are at the end."""
    poured = Pouring()
    for step in sorted(history.steps, key=lambda step: step.hours):
        step.told(poured)
    for code in Lot.objects.filter(reversed_by=None, supplier__isnull=False).values_list("code", flat=True):
        yield code, poured


def holding(poured: Pouring, bad: str, *, traces: bool = True) -> Containers:
    """Return the containers that physically hold some of the lot, with or without those that hold only traces."""
    ways = (False, True) if traces else (False,)
    return {
        (lot, place) for lot, place, matter in poured.containers() if any(matter.get((bad, way), 0) > 0 for way in ways)
    }


def recalled(bad: str, kinds: frozenset[Link.Kind]) -> Containers:
    """Return the containers that a recall of the lot over these links names."""
    family = family_of([Lot.objects.get(code=bad, reversed_by=None).pk], kinds)
    return {(member.lot.code, place.location.code) for member in family.members for place in member.places}
