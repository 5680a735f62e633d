"""Folding: many nodes become one that says how many they are, until the drawing can be read.

First what follows each other in one fill of a tank, then what hangs in the graph in the same way, and where boxes are
still too many, what is alike in one column. Whatever somebody opened stays apart.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import replace

from traceability.drawing.graph import DrawnLink, DrawnNode, Graph, Stage
from traceability.drawing.layers import columns_to_fold_in

FEWEST = 3
"""Two boxes are as easily read as one that stands for two."""

MOST_BOXES = 60
"""More boxes than this are folded column by column."""

LABELS_KEPT = 3

_CALLED: dict[str, str] = {Stage.SUPPLIER: "suppliers", Stage.CUSTOMER: "customers"}


def readable(graph: Graph, opened: Collection[int] = ()) -> Graph:
    """Return the graph with all folded that must be, for it to be read; `opened` names folds by their first node.

    Raises GraphError where the links run in a circle, which folding would hide.
    """
    if len(graph.parents_first) < FEWEST:
        return graph
    graph = folded(fills_folded(graph, opened), opened)
    return columns_folded(graph, opened) if len(graph.nodes) > MOST_BOXES else graph


def folded(graph: Graph, opened: Collection[int] = ()) -> Graph:
    """Return the graph with nodes folded that share group, stage, flag and all neighbours.

    The subject is never folded. Links of folded nodes become one a neighbour and kind, and their weights add up: the
    sum over all links, and the number of nodes stood for, are what they were.
    """
    ways: dict[int, list[tuple[int, int, str]]] = {node: [] for node in graph.nodes}
    for link in graph.links:
        ways[link.child].append((0, link.parent, link.kind))
        ways[link.parent].append((1, link.child, link.kind))
    return by_likeness(graph, lambda node: frozenset(ways[node.id]), opened)


def columns_folded(graph: Graph, opened: Collection[int] = ()) -> Graph:
    """Return the graph with nodes folded that share group, stage, flag and column.

    Every link leads from one column to a later one, so however many are folded in a column nothing runs in a circle.
    """
    columns = columns_to_fold_in(graph)
    return by_likeness(graph, lambda node: columns[node.id], opened)


def fills_folded(graph: Graph, opened: Collection[int] = ()) -> Graph:
    """Return the graph with the versions of one tank fill folded: nodes of one vessel that follow each other.

    A pair between which another way leads stays apart, since folding it would make a circle of that way.
    """
    becomes = {node: node for node in graph.nodes}
    children = {node: set(after) for node, after in graph.children.items()}
    for link in graph.links:
        parent, child = graph.nodes[link.parent], graph.nodes[link.child]
        first, last = becomes[parent.id], becomes[child.id]
        if first != last and _is_one_fill(parent, child) and not _leads_round(first, last, children):
            _join(first, last, becomes, children)
    members: dict[int, list[DrawnNode]] = defaultdict(list)
    for node in graph.nodes.values():
        members[becomes[node.id]].append(node)
    return _with_folds(graph, members.values(), opened)


def _is_one_fill(parent: DrawnNode, child: DrawnNode) -> bool:
    is_plain = not (parent.is_subject or child.is_subject) and parent.flag == child.flag
    return is_plain and parent.vessel is not None and parent.vessel == child.vessel


def _leads_round(first: int, last: int, children: dict[int, set[int]]) -> bool:
    """Return whether another way than the link between them leads from one to the other."""
    waiting, seen = [after for after in children[first] if after != last], set[int]()
    while waiting:
        node = waiting.pop()
        if node == last:
            return True
        if node not in seen:
            seen.add(node)
            waiting += children[node]
    return False


def _join(first: int, last: int, becomes: dict[int, int], children: dict[int, set[int]]) -> None:
    """Put `last` and all that became it into `first`."""
    for node, target in becomes.items():
        if target == last:
            becomes[node] = first
    children[first] |= children.pop(last)
    for after in children.values():
        if last in after:
            after.remove(last)
            after.add(first)
    children[first].discard(first)


def by_likeness(graph: Graph, likeness: Callable[[DrawnNode], Hashable], opened: Collection[int] = ()) -> Graph:
    """Return the graph with nodes folded that share group, stage, flag and what `likeness` says of them."""
    lists: dict[object, list[DrawnNode]] = defaultdict(list)
    for node in graph.nodes.values():
        alone = node.id if node.group is None or node.is_subject else None
        lists[alone, node.group, node.stage, node.flag, likeness(node)].append(node)
    return _with_folds(graph, lists.values(), opened)


def _with_folds(graph: Graph, lists: Iterable[list[DrawnNode]], opened: Collection[int]) -> Graph:
    """Return the graph with each list of nodes as one, where they are enough and nobody opened it."""
    becomes = {node: node for node in graph.nodes}
    nodes: list[DrawnNode] = []
    for members in lists:
        if len(members) < FEWEST or members[0].id in opened:
            nodes += members
            continue
        nodes.append(_one_for(members))
        becomes |= {member.id: members[0].id for member in members}
    return Graph.of(nodes, _merged(graph.links, becomes))


def _one_for(members: list[DrawnNode]) -> DrawnNode:
    first = members[0]
    every = tuple(single for member in members for single in member.folded or (member,))
    titles = {member.title for member in members}
    return replace(
        first,
        code=f"{len(every)} {_CALLED.get(first.stage or '', 'lots')}",
        title=first.title if len(titles) == 1 else str(first.group or first.title),
        detail=f"{every[0].code} to {every[-1].code}",
        href=None,
        is_faded=all(member.is_faded for member in members),
        folded=every,
    )


def _merged(links: Sequence[DrawnLink], becomes: dict[int, int]) -> list[DrawnLink]:
    """Return the links between what the nodes became; those within a fold are folded with it."""
    together: dict[tuple[int, int, str], list[DrawnLink]] = defaultdict(list)
    for link in links:
        parent, child = becomes[link.parent], becomes[link.child]
        if parent != child:
            together[parent, child, link.kind].append(link)
    return [
        DrawnLink(parent, child, kind, _label(several), sum(link.weight for link in several))
        for (parent, child, kind), several in together.items()
    ]


def _label(links: list[DrawnLink]) -> str:
    labels = [link.label for link in links if link.label]
    if len(labels) <= LABELS_KEPT:
        return ", ".join(labels)
    return f"{', '.join(labels[:LABELS_KEPT])} and {len(labels) - LABELS_KEPT} more"
