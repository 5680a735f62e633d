"""A graph in brief, for a page of paper: one box a product, stage and flag, and lines that only lead onward.

In a long history yeast is harvested, pitched and harvested again, which makes the drawing as wide as the season. Here
such lines are left out, and counted.
"""

from bisect import bisect
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from traceability.drawing.folding import by_likeness
from traceability.drawing.graph import DrawnLink, DrawnNode, Graph, Stage

MOST_IN_A_STAGE = 9
"""More boxes than this above each other do not fit a page: they become one a flag."""

_RANK = {stage.value: rank for rank, stage in enumerate(Stage)}


@dataclass(frozen=True)
class Brief:
    """What is left to be drawn, and how many links are not."""

    nodes: list[DrawnNode]
    links: list[DrawnLink]
    left_out: int


def in_brief(nodes: Iterable[DrawnNode], links: Iterable[DrawnLink]) -> Brief:
    """Return the graph with what is alike in one box. Every node stands for as many as before; subjects stay apart.

    Kept are links to or from a subject, and those to a later stage. What is older than a subject is not folded with
    what is younger, so nothing runs in a circle. Raises GraphError.
    """
    graph = Graph.of(nodes, links)
    subjects = sorted(node.id for node in graph.nodes.values() if node.is_subject)
    kept = [link for link in graph.links if _leads_onward(graph, link)]
    onward = Graph.of(graph.nodes.values(), kept)
    folded = by_likeness(onward, lambda node: bisect(subjects, node.id))
    folded = by_likeness(_with_wide_groups(folded), lambda node: bisect(subjects, node.id))
    return Brief(list(folded.nodes.values()), list(folded.links), len(graph.links) - len(kept))


def _leads_onward(graph: Graph, link: DrawnLink) -> bool:
    parent, child = graph.nodes[link.parent], graph.nodes[link.child]
    return parent.is_subject or child.is_subject or _rank(parent) < _rank(child)


def _rank(node: DrawnNode) -> int:
    return -1 if node.stage is None else _RANK[node.stage]


def _with_wide_groups(graph: Graph) -> Graph:
    """Return the graph with the nodes of each stage that holds too many in one group."""
    stages: dict[str | None, list[DrawnNode]] = defaultdict(list)
    for node in graph.nodes.values():
        stages[node.stage].append(node)
    nodes: list[DrawnNode] = []
    for several in stages.values():
        group = f"{len({node.title for node in several})} products"
        too_many = len(several) > MOST_IN_A_STAGE
        nodes += [replace(node, group=group) for node in several] if too_many else several
    return Graph.of(nodes, graph.links)
