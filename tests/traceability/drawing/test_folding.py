import math

import pytest
from hypothesis import given, settings

from tests.traceability.drawing.graphs import any_graph
from traceability.drawing import DrawnLink, DrawnNode, Graph
from traceability.drawing.folding import folded

TANK = DrawnNode(1, "BT1", "Pilsner, bright", "0 L left", "beer")


def pallets(count: int) -> list[DrawnNode]:
    return [DrawnNode(at, f"K{at}", "Keg", "24 each", "packaged", group="kegs") for at in range(2, 2 + count)]


def filled_from_the_tank(lots: list[DrawnNode]) -> list[DrawnLink]:
    return [DrawnLink(1, lot.id, "ingredient", "12 hL", 0.1) for lot in lots]


def test_lots_that_hang_alike_become_one():
    """BT1 ── K2, K3, … K13 becomes BT1 ── 12 lots."""
    lots = pallets(12)
    graph = folded(Graph.of([TANK, *lots], filled_from_the_tank(lots)))
    kegs = graph.nodes[2]
    assert (kegs.code, kegs.title, kegs.detail, kegs.stands_for) == ("12 lots", "Keg", "K2 to K13", 12)
    [link] = graph.links
    assert link.weight == pytest.approx(1.2)
    assert link.label == "12 hL, 12 hL, 12 hL and 9 more"


def test_two_lots_are_left_apart():
    lots = pallets(2)
    assert len(folded(Graph.of([TANK, *lots], filled_from_the_tank(lots))).nodes) == 3


def test_lots_that_went_different_ways_are_left_apart():
    lots = pallets(3)
    customer = DrawnNode(9, "Market hall", "customer", "", "customer")
    links = [*filled_from_the_tank(lots), DrawnLink(2, 9, "ingredient", "24 each", 0.1)]
    assert sorted(folded(Graph.of([TANK, customer, *lots], links)).nodes) == [1, 2, 3, 4, 9]


def test_a_flagged_lot_and_the_lot_asked_for_stay_in_sight():
    lots = pallets(5)
    held = DrawnNode(20, "K20", "Keg", "", "packaged", group="kegs", flag="on_hold")
    subject = DrawnNode(21, "K21", "Keg", "", "packaged", group="kegs", is_subject=True)
    everything = [*lots, held, subject]
    graph = folded(Graph.of([TANK, *everything], filled_from_the_tank(everything)))
    assert sorted(graph.nodes) == [1, 2, 20, 21]


@given(any_graph())
@settings(max_examples=60, deadline=None)
def test_folding_keeps_totals(given_graph):
    whole = Graph.of(*given_graph)
    graph = folded(whole)
    assert sum(node.stands_for for node in graph.nodes.values()) == len(whole.nodes)
    assert math.isclose(
        sum(link.weight for link in graph.links), sum(link.weight for link in whole.links), abs_tol=1e-9
    )
