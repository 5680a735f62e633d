"""A trace as text: the same nodes and links as the drawing, for those who read better than they see."""

from collections import defaultdict
from collections.abc import Iterable

from traceability.drawing.boxes import sentence
from traceability.drawing.graph import DrawnLink, DrawnNode, Graph


def outline(nodes: Iterable[DrawnNode], links: Iterable[DrawnLink]) -> str:
    """Return every node on a line of its own, parents first, with its links to children below. Raises GraphError.

    Nothing is folded and no way through the graph is told twice, so the text is as long as the graph, not as its ways.
    """
    graph = Graph.of(nodes, links)
    leaving: dict[int, list[DrawnLink]] = defaultdict(list)
    for link in graph.links:
        leaving[link.parent].append(link)
    lines: list[str] = []
    for node in graph.parents_first:
        lines.append(_on_one_line(sentence(graph.nodes[node])))
        lines += [_on_one_line(_arrow(link, graph.nodes[link.child]), indent="    ") for link in leaving[node]]
    return "\n".join(lines)


def _arrow(link: DrawnLink, child: DrawnNode) -> str:
    return f"→ {child.code}: {link.kind}" + (f", {link.label}" if link.label else "")


def _on_one_line(words: str, indent: str = "") -> str:
    return indent + " ".join(words.split())
