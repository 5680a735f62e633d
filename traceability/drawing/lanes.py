"""Lanes: a link that passes over columns gets a place of its own in each, so that it never runs behind a box."""

import itertools
from dataclasses import dataclass

from traceability.drawing.graph import Graph


@dataclass(frozen=True)
class Lanes:
    """Slots in columns. A slot is a node's place, or the place where links pass through a column.

    `columns` lists the slots of every column, `nodes` the node in a slot or None, `routes` the slots along every link,
    in the order of the graph's links; `before` and `after` the slots next to a slot on its left and right.
    """

    columns: list[list[int]]
    nodes: list[int | None]
    routes: list[list[int]]
    before: list[list[int]]
    after: list[list[int]]


def lanes_of(graph: Graph, columns: dict[int, int]) -> Lanes:
    """Return the lanes of a graph. Links of one kind from one parent share their way until they part."""
    lanes = Lanes([[] for _ in range(max(columns.values(), default=-1) + 1)], [], [], [], [])
    slots = {node: _slot(lanes, columns[node], node) for node in graph.parents_first}
    passing: dict[tuple[int, str, int], int] = {}
    for link in graph.links:
        route = [slots[link.parent]]
        for column in range(columns[link.parent] + 1, columns[link.child]):
            key = (link.parent, link.kind, column)
            if key not in passing:
                passing[key] = _slot(lanes, column, None)
            route.append(passing[key])
        route.append(slots[link.child])
        lanes.routes.append(route)
    _join(lanes)
    return lanes


def _slot(lanes: Lanes, column: int, node: int | None) -> int:
    lanes.nodes.append(node)
    lanes.before.append([])
    lanes.after.append([])
    lanes.columns[column].append(len(lanes.nodes) - 1)
    return len(lanes.nodes) - 1


def _join(lanes: Lanes) -> None:
    """Every two slots that follow each other on a route know each other, once."""
    pairs = {pair for route in lanes.routes for pair in itertools.pairwise(route)}
    for left, right in sorted(pairs):
        lanes.after[left].append(right)
        lanes.before[right].append(left)
