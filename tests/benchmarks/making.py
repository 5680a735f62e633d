"""Making a history, and seeing that its mass balances close."""

from random import Random

from django.core.management import call_command
from django.db import connection

from inventory.models import Lot
from tests.benchmarks.databases import History, exists, finish, make_empty, using
from tests.benchmarks.history import ORDINARY, RECONVERGENT
from tests.benchmarks.loading import load
from traceability.queries.mass_balance import mass_balance

BALANCED = 20


def make(history: History) -> None:
    """The history lies whole in a database of its own. Raises ValueError where a mass balance does not close."""
    make_empty(history)
    rates = RECONVERGENT if history.reconvergent else ORDINARY
    with using(history):
        book = load(history.links, rates)
    finish(history)
    with using(history):
        refuse_open_balances()
    print(f"{history.name}: {book.links:,} links; {rates}")
    print("  " + ", ".join(f"{count:,} {table.partition('_')[2]}" for table, count in book.counts.items()))


def make_missing(history: History) -> None:
    """The history is there, in the tables of today."""
    if not exists(history):
        make(history)
        return
    with using(history):
        call_command("migrate", verbosity=0)


def refuse_open_balances(lots: int = BALANCED) -> None:
    """Raise ValueError unless the mass balances of that many random lots close."""
    keys = list(Lot.objects.values_list("pk", flat=True))
    for lot in Lot.objects.filter(pk__in=Random(7).sample(keys, lots)):
        answer = mass_balance(lot)
        if not answer.closes:
            raise ValueError(f"The mass balance of {lot} is open by {answer.difference_micro} on {connection.vendor}.")
