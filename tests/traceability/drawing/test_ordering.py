import itertools

from hypothesis import given, settings

from tests.traceability.drawing.graphs import any_graph
from traceability.drawing import DrawnLink, DrawnNode, Graph
from traceability.drawing.lanes import Lanes, lanes_of
from traceability.drawing.layers import in_bands
from traceability.drawing.ordering import crossings, ordered


def lanes_between(count: int, pairs: list[tuple[int, int]]) -> Lanes:
    nodes = [DrawnNode(at, str(at), "", "") for at in range(count)]
    graph = Graph.of(nodes, [DrawnLink(*pair, "ingredient", "", 1) for pair in pairs])
    return lanes_of(graph, in_bands(graph).columns)


def counted_one_by_one(order: list[list[int]], lanes: Lanes) -> int:
    """The oracle: every pair of links between two columns, looked at by itself."""
    total = 0
    for left, right in itertools.pairwise(order):
        links = [(left.index(slot), right.index(after)) for slot in left for after in lanes.after[slot]]
        total += sum((a - c) * (b - d) < 0 for at, (a, b) in enumerate(links) for c, d in links[:at])
    return total


def test_two_links_that_cross_are_uncrossed():
    r"""
    0 ─┐┌─ 3        0 ─── 2
       ╳      ->
    1 ─┘└─ 2        1 ─── 3
    """
    lanes = lanes_between(4, [(0, 3), (1, 2)])
    assert crossings(lanes.columns, lanes) == 1
    assert crossings(ordered(lanes), lanes) == 0


def test_links_of_one_parent_share_their_way():
    """0 ── 1 ── 2 ── 3 and 0 to both 2 and 3: one lane beside 1, not two."""
    lanes = lanes_between(4, [(0, 1), (1, 2), (2, 3), (0, 2), (0, 3)])
    assert [len(column) for column in lanes.columns] == [1, 2, 2, 1]


@given(any_graph())
@settings(max_examples=60, deadline=None)
def test_crossings_are_counted_right_and_never_become_more(given_graph):
    graph = Graph.of(*given_graph)
    lanes = lanes_of(graph, in_bands(graph).columns)
    order = ordered(lanes)
    assert crossings(lanes.columns, lanes) == counted_one_by_one(lanes.columns, lanes)
    assert crossings(order, lanes) <= crossings(lanes.columns, lanes)
    assert [sorted(column) for column in order] == [sorted(column) for column in lanes.columns]
