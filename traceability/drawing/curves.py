"""Links as curves: level where they leave and arrive, level where they pass through a column."""

from collections import defaultdict
from math import sqrt

from traceability.drawing.graph import DrawnLink, Graph
from traceability.drawing.lanes import Lanes
from traceability.drawing.markup import attributes, text
from traceability.drawing.placing import BOX_HEIGHT, BOX_WIDTH, Places

THINNEST, THICKEST = 1.25, 8.0
PORT_ROOM = BOX_HEIGHT - 20
WIDEST_PORT = 12


def curves(graph: Graph, lanes: Lanes, places: Places, left: float, top: float) -> list[str]:
    """Return the markup of all links, in the graph's order, moved by `left` and `top`."""
    column_of = {slot: column for column, slots in enumerate(lanes.columns) for slot in slots}
    leaving, arriving = _ports(lanes, places, is_leaving=True), _ports(lanes, places, is_leaving=False)
    drawn = []
    for link, route in zip(graph.links, lanes.routes, strict=True):
        points = [
            (
                places.lefts[column_of[slot]] + left,
                places.middles[slot] + top,
            )
            for slot in route
        ]
        start = points[0][0] + BOX_WIDTH, points[0][1] + leaving[route[0], route[1]]
        end = points[-1][0], points[-1][1] + arriving[route[-1], route[-2]]
        drawn.append(_curve(graph, link, _path(start, points[1:-1], end)))
    return drawn


def width_of_link(weight: float) -> float:
    """Return how wide the line of a link is: its area grows with the part that went along it."""
    return round(THINNEST + (THICKEST - THINNEST) * sqrt(min(max(weight, 0.0), 1.0)), 2)


def _curve(graph: Graph, link: DrawnLink, path: str) -> str:
    parent, child = graph.nodes[link.parent], graph.nodes[link.child]
    words = f"{parent.code} → {child.code}: {link.kind}" + (f", {link.label}" if link.label else "")
    head = attributes(
        {
            "class": f"trace-link {link.kind}" + (" is-faded" if parent.is_faded or child.is_faded else ""),
            "d": path,
            "stroke-width": f"{width_of_link(link.weight):g}",
            "data-parent": link.parent,
            "data-child": link.child,
        }
    )
    return f"<path{head}><title>{text(words)}</title></path>"


def _path(start: tuple[float, float], lane: list[tuple[float, float]], end: tuple[float, float]) -> str:
    path = [f"M{start[0]:.1f} {start[1]:.1f}"]
    x, y = start
    for left, middle in lane:
        path.append(_bend(x, y, left, middle))
        path.append(f"H{left + BOX_WIDTH:.1f}")
        x, y = left + BOX_WIDTH, middle
    path.append(_bend(x, y, *end))
    return "".join(path)


def _bend(x: float, y: float, to_x: float, to_y: float) -> str:
    middle = (x + to_x) / 2
    return f"C{middle:.1f} {y:.1f} {middle:.1f} {to_y:.1f} {to_x:.1f} {to_y:.1f}"


def _ports(lanes: Lanes, places: Places, *, is_leaving: bool) -> dict[tuple[int, int], float]:
    """Return how far from a box's middle each of its links leaves or arrives: in the order of where they go."""
    others: dict[int, set[int]] = defaultdict(set)
    for route in lanes.routes:
        box, other = (route[0], route[1]) if is_leaving else (route[-1], route[-2])
        others[box].add(other)
    ports = {}
    for box, ends in others.items():
        step = min(WIDEST_PORT, PORT_ROOM / len(ends))
        in_order = sorted(ends, key=lambda end: (places.middles[end], end))
        for place, end in enumerate(in_order):
            ports[box, end] = (place - (len(ends) - 1) / 2) * step
    return ports
