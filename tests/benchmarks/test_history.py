"""The made-up history of the benchmarks is a record like any other: it conserves, and a longer one begins like it."""

import pytest

from inventory.models import Link, Lot, Posting
from inventory.queries.audits import run_audits
from tests.benchmarks.history import ORDINARY, RECONVERGENT, Book, Rates, write
from tests.benchmarks.loading import load
from tests.benchmarks.making import refuse_open_balances

BOUNDARIES = {"transformed": 1, "loss": 2, "destroyed": 3, "count_difference": 4}


def rows(links: int, rates: Rates = ORDINARY) -> dict[str, list[tuple[object, ...]]]:
    """Return what a history of that many links writes, table by table."""
    book = Book(BOUNDARIES, 5, 1)
    for _ in write(book, links, rates):
        pass
    return book.take()


def test_a_longer_history_begins_with_the_shorter_one():
    short, long = rows(1_000), rows(3_000)
    for table in short:
        assert long[table][: len(short[table])] == short[table], table
    assert len(short["inventory_link"]) >= 1_000


def test_the_rates_make_another_history():
    assert rows(1_000)["inventory_link"] != rows(1_000, RECONVERGENT)["inventory_link"]


@pytest.mark.parametrize("rates", [ORDINARY, RECONVERGENT], ids=["ordinary", "reconvergent"])
@pytest.mark.django_db(transaction=True)
def test_a_loaded_history_holds_together(rates: Rates):
    load(2_000, rates)
    assert Link.objects.count() >= 2_000
    assert Posting.objects.count() > Lot.objects.count()
    assert [str(finding) for _, found in run_audits() for finding in found] == []
    refuse_open_balances(20)
