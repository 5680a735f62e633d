"""The graph that is drawn: lots and parties as nodes, what went across as links."""

import heapq
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property


class Stage(StrEnum):
    """How far along a node is, in the order in which stages are drawn from left to right."""

    SUPPLIER = "supplier"
    RAW = "raw"
    WORT = "wort"
    BEER = "beer"
    PACKAGED = "packaged"
    CUSTOMER = "customer"


class LinkKind(StrEnum):
    """How a parent is connected to a child: as a part of it, as the mother of a yeast, as residue, or by a lorry."""

    INGREDIENT = "ingredient"
    CULTURE = "culture"
    CARRYOVER = "carryover"
    DELIVERED = "delivered"


class GraphError(ValueError):
    """What was handed over is not a graph that can be drawn: it runs in a circle, or a link names no node."""


@dataclass(frozen=True, slots=True)
class DrawnNode:
    """One box. `detail` says how much and where; nodes of one `group` may be folded; `flag` is a word of warning.

    Nodes of one `vessel` that follow each other are versions of one fill of it, and may be folded into it.
    `folded` holds the nodes that this one stands for; it is empty for all but folded nodes. `is_faded`: drawn faintly.
    """

    id: int
    code: str
    title: str
    detail: str
    stage: str | None = None
    href: str | None = None
    is_subject: bool = False
    group: str | None = None
    flag: str | None = None
    vessel: str | None = None
    is_faded: bool = False
    folded: tuple["DrawnNode", ...] = field(default=(), repr=False)

    @property
    def stands_for(self) -> int:
        """How many nodes this one stands for: itself, or all that are folded into it."""
        return len(self.folded) or 1


@dataclass(frozen=True, slots=True)
class DrawnLink:
    """One line from a parent to a child. `kind` is one of LinkKind.

    `weight` is the part, from 0 to 1, of what is traced that went along this link; it sets the width of the line.
    """

    parent: int
    child: int
    kind: str
    label: str
    weight: float


@dataclass(frozen=True)
class Graph:
    """Nodes by id, and links in order. Raises GraphError where they do not fit together."""

    nodes: Mapping[int, DrawnNode]
    links: Sequence[DrawnLink]

    @classmethod
    def of(cls, nodes: Iterable[DrawnNode], links: Iterable[DrawnLink]) -> "Graph":
        """Return the graph of these nodes and links, in an order that does not depend on how they were listed."""
        by_id: dict[int, DrawnNode] = {}
        for node in sorted(nodes, key=lambda each: each.id):
            if node.id in by_id:
                raise GraphError(f"Node {node.id} is listed twice.")
            if node.stage is not None and node.stage not in list(Stage):
                raise GraphError(f"Node {node.id} is at {node.stage!r}, which is no stage; use one of {list(Stage)}.")
            by_id[node.id] = node
        ordered = sorted(links, key=lambda link: (link.parent, link.child, link.kind, link.label, link.weight))
        for link in ordered:
            if link.parent not in by_id or link.child not in by_id:
                raise GraphError(f"The link {link.parent} → {link.child} names a node that is not drawn.")
            if link.kind not in list(LinkKind):
                raise GraphError(f"{link.kind!r} is no kind of link; use one of {list(LinkKind)}.")
        return cls(by_id, ordered)

    @cached_property
    def parents(self) -> dict[int, list[int]]:
        """The parents of every node, each once, in order of id."""
        return self._neighbours((link.child, link.parent) for link in self.links)

    @cached_property
    def children(self) -> dict[int, list[int]]:
        """The children of every node, each once, in order of id."""
        return self._neighbours((link.parent, link.child) for link in self.links)

    @cached_property
    def parents_first(self) -> list[int]:
        """All ids so that no node comes before its parents; the smallest id first among those that may."""
        waiting = {node: len(parents) for node, parents in self.parents.items()}
        ready = [node for node, count in waiting.items() if count == 0]
        heapq.heapify(ready)
        order: list[int] = []
        while ready:
            order.append(node := heapq.heappop(ready))
            for child in self.children[node]:
                waiting[child] -= 1
                if waiting[child] == 0:
                    heapq.heappush(ready, child)
        if len(order) < len(self.nodes):
            raise GraphError("The links run in a circle, so no node of it can stand left of another.")
        return order

    def _neighbours(self, pairs: Iterable[tuple[int, int]]) -> dict[int, list[int]]:
        sets: dict[int, set[int]] = {node: set() for node in self.nodes}
        for node, other in pairs:
            sets[node].add(other)
        return {node: sorted(others) for node, others in sets.items()}
