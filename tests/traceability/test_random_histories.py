"""Random histories, played through the services: the record says what plain dictionaries and exact fractions say.

`HISTORIES` in the environment sets how many are played; the same seed plays the same history.
"""

import os
from random import Random

import networkx
import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import Balance, Link, Location, Lot
from inventory.queries.audits import run_audits
from tests.brewhouse import Brewhouse, at
from tests.histories import History
from tests.model import Model
from traceability.queries.graph import Direction
from traceability.queries.mass_balance import MassBalance, mass_balance
from traceability.queries.trace import trace

HISTORIES = int(os.environ.get("HISTORIES", "60"))

pytestmark = pytest.mark.django_db


@settings(
    max_examples=HISTORIES,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32), steps=st.integers(min_value=4, max_value=24))
def test_the_record_of_a_random_history_is_what_the_model_says(brewhouse: Brewhouse, seed: int, steps: int):
    with transaction.atomic():
        history = History(brewhouse, Random(seed))
        history.play(steps)
        lots = {lot.code: lot for lot in Lot.objects.filter(reversed_by=None).select_related("material")}
        ledger_is_the_model(history.model, lots)
        traces_are_the_model(history.model, lots)
        past_is_what_it_was(history, lots)
        transaction.set_rollback(True)


def ledger_is_the_model(model: Model, lots: dict[str, Lot]) -> None:
    """Balances, totals and links are the model's, and no audit finds anything."""
    lying = Balance.objects.held().filter(lot__reversed_by=None)
    assert {
        (lot, place): quantity
        for lot, place, quantity in lying.values_list("lot__code", "location__code", "quantity_micro")
    } == model.lying()
    assert {code: lot.total_micro for code, lot in lots.items()} == {code: model.total(code) for code in model.made}
    links = Link.objects.filter(reversed_by=None).select_related("parent", "child")
    assert sorted(
        (link.parent.code, link.child.code, link.get_kind_display(), link.quantity_micro) for link in links
    ) == sorted(model.links)
    assert [finding for _, findings in run_audits() for finding in findings] == []


def traces_are_the_model(model: Model, lots: dict[str, Lot]) -> None:
    """Both directions reach what networkx reaches, with the shares of exact fractions, and all is accounted for."""
    graph = networkx.DiGraph([(parent, child) for parent, child, _, _ in model.links])
    graph.add_nodes_from(model.made)
    codes = {lot.pk: code for code, lot in lots.items()}
    back = {code: trace(lot, Direction.BACK) for code, lot in lots.items()}
    for code, lot in lots.items():
        forward, exact = trace(lot, Direction.FORWARD), model.part_in(code)
        assert {codes[key] for key in forward.reached} == networkx.descendants(graph, code)
        assert {codes[key] for key in back[code].reached} == networkx.ancestors(graph, code)
        for key, amount in forward.amounts.items():
            assert amount == pytest.approx(float(exact.get(codes[key], 0)), rel=1e-9, abs=1e-6)
            read_from_there = back[codes[key]].amounts[lot.pk]
            assert read_from_there == pytest.approx(amount, rel=1e-9, abs=1e-6)
        ends_are_the_model(model, code, mass_balance(lot), codes)


def ends_are_the_model(model: Model, code: str, balance: MassBalance, codes: dict[int, str]) -> None:
    """The mass balance closes, exactly by the ledger, and every end is where the model says."""
    assert balance.closes
    assert balance.ledger_difference_micro == 0
    assert balance.received_micro == model.total(code)
    places = dict(Location.objects.values_list("pk", "code"))
    exact = {key: amount for key, amount in model.ends_of(code).items() if amount}
    found = {
        (codes[entry.lot], places[entry.location] if entry.location else "missing"): entry.amount_micro
        for entry in balance.entries
        if entry.amount_micro
    }
    assert found.keys() == exact.keys()
    for key, amount in found.items():
        assert amount == pytest.approx(float(exact[key]), rel=1e-9, abs=1e-6)


def past_is_what_it_was(history: History, lots: dict[str, Lot]) -> None:
    """As of a moment in the middle, every lot that existed is accounted for as it was then."""
    hours = history.random.choice(history.steps).hours
    then = history.told_until(hours)
    codes = {lot.pk: code for code, lot in lots.items()}
    for code in then.made:
        ends_are_the_model(then, code, mass_balance(lots[code], as_of=at(hours)), codes)
