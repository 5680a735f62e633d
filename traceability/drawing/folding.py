"""Folding: many nodes that hang in the graph in the same way become one that says how many they are."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from traceability.drawing.graph import DrawnLink, DrawnNode, Graph

FEWEST = 3
"""Two boxes are as easily read as one that stands for two."""

LABELS_KEPT = 3


def folded(graph: Graph) -> Graph:
    """Return the graph with nodes folded that share group, stage, flag and all neighbours.

    The subject is never folded. Links of folded nodes become one a neighbour and kind, and their weights add up: the
    sum over all links, and the number of nodes stood for, are what they were.
    """
    becomes = {node: node for node in graph.nodes}
    nodes: list[DrawnNode] = []
    for members in _alike(graph):
        if len(members) < FEWEST:
            nodes += members
            continue
        nodes.append(_one_for(members))
        becomes |= {member.id: members[0].id for member in members}
    return Graph.of(nodes, _merged(graph.links, becomes))


def _alike(graph: Graph) -> list[list[DrawnNode]]:
    """Return the nodes in lists of those that may be folded together; most lists have one."""
    ways: dict[int, list[tuple[int, int, str]]] = {node: [] for node in graph.nodes}
    for link in graph.links:
        ways[link.child].append((0, link.parent, link.kind))
        ways[link.parent].append((1, link.child, link.kind))
    lists: dict[object, list[DrawnNode]] = defaultdict(list)
    for node in graph.nodes.values():
        may_fold = node.group is not None and not node.is_subject
        alone = None if may_fold else node.id
        lists[(alone, node.group, node.stage, node.flag, frozenset(ways[node.id]))].append(node)
    return list(lists.values())


def _one_for(members: list[DrawnNode]) -> DrawnNode:
    first, last = members[0], members[-1]
    titles = {member.title for member in members}
    return replace(
        first,
        code=f"{len(members)} lots",
        title=first.title if len(titles) == 1 else str(first.group),
        detail=f"{first.code} to {last.code}",
        href=None,
        folded=tuple(members),
    )


def _merged(links: Sequence[DrawnLink], becomes: dict[int, int]) -> list[DrawnLink]:
    together: dict[tuple[int, int, str], list[DrawnLink]] = defaultdict(list)
    for link in links:
        together[(becomes[link.parent], becomes[link.child], link.kind)].append(link)
    return [
        DrawnLink(parent, child, kind, _label(several), sum(link.weight for link in several))
        for (parent, child, kind), several in together.items()
    ]


def _label(links: list[DrawnLink]) -> str:
    labels = [link.label for link in links if link.label]
    if len(labels) <= LABELS_KEPT:
        return ", ".join(labels)
    return f"{', '.join(labels[:LABELS_KEPT])} and {len(labels) - LABELS_KEPT} more"
