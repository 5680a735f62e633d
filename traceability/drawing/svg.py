"""A trace as SVG: boxes in columns from left to right, links as curves, a heading a stage.

On a page it is styled by `static/traceability/drawing.css`, needs no script, and the page has the legend beside it,
where it does not scroll away; with `standalone` rules and legend are inside.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import replace

from traceability.drawing.boxes import box
from traceability.drawing.curves import curves
from traceability.drawing.folding import readable
from traceability.drawing.graph import DrawnLink, DrawnNode, Graph, Stage
from traceability.drawing.lanes import lanes_of
from traceability.drawing.layers import layers_of
from traceability.drawing.legend import LEGEND_HEIGHT, LEGEND_WIDTH, legend
from traceability.drawing.markup import attributes, text
from traceability.drawing.ordering import ordered
from traceability.drawing.placing import BOX_HEIGHT, BOX_WIDTH, Places, places_of
from traceability.drawing.style import standalone_css

EDGE = 16
HEADING_HEIGHT = 40

HEADINGS = {
    Stage.SUPPLIER: "Received from",
    Stage.RAW: "Raw lots",
    Stage.WORT: "Wort",
    Stage.BEER: "In the cellar",
    Stage.PACKAGED: "Packaged",
    Stage.CUSTOMER: "Shipped to",
}


def draw(
    nodes: Iterable[DrawnNode],
    links: Iterable[DrawnLink],
    *,
    standalone: bool = False,
    opened: Collection[int] = (),
    way_to_open: Callable[[int], str] | None = None,
) -> str:
    """Return the drawing of a graph as one `<svg>` element; what would be too much is folded. Raises GraphError.

    `opened` names folds that stay apart, and `way_to_open` gives the address at which a fold is open, both by the id
    of the fold's first node.
    """
    graph = readable(Graph.of(nodes, links), opened)
    if way_to_open:
        graph = _with_ways(graph, way_to_open)
    layers = layers_of(graph)
    lanes = lanes_of(graph, layers.columns)
    order = ordered(lanes)
    places = places_of(lanes, order)
    above = LEGEND_HEIGHT if standalone else 2
    top = above + (HEADING_HEIGHT if layers.bands else 0) + EDGE
    boxes = [
        box(graph.nodes[node], places.lefts[column] + EDGE, round(places.middles[slot] - BOX_HEIGHT / 2) + top)
        for column, slots in enumerate(order)
        for slot in slots
        if (node := lanes.nodes[slot]) is not None
    ]
    width = max(LEGEND_WIDTH if standalone else 0, (places.lefts[-1] if places.lefts else 0) + BOX_WIDTH) + 2 * EDGE
    height = round(max(places.middles, default=0) + BOX_HEIGHT / 2) + top + EDGE
    parts = [
        f"<style>{standalone_css()}</style>{legend(graph, EDGE)}" if standalone else "",
        *_bands(layers.bands, places, above, height),
        '<g class="trace-links">',
        *curves(graph, lanes, places, EDGE, top),
        "</g>",
        *boxes,
    ]
    return f"<svg{_head(graph, width, height)}>{''.join(parts)}</svg>"


def _with_ways(graph: Graph, way_to_open: Callable[[int], str]) -> Graph:
    return Graph.of(
        [replace(node, href=way_to_open(node.id)) if node.folded else node for node in graph.nodes.values()],
        graph.links,
    )


def _head(graph: Graph, width: float, height: float) -> str:
    lots = sum(node.stands_for for node in graph.nodes.values())
    return attributes(
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "trace",
            "role": "figure",
            "aria-label": f"Drawing of {lots} nodes and {len(graph.links)} links, parents left of children",
            "width": f"{width:g}",
            "height": f"{height:g}",
            "viewBox": f"0 0 {width:g} {height:g}",
        }
    )


def _bands(bands: dict[Stage, tuple[int, int]], places: Places, above: int, height: float) -> list[str]:
    """Return the ground and the heading of every stage."""
    drawn = []
    for stage, (first, last) in bands.items():
        left, right = places.lefts[first] + EDGE, places.lefts[last] + EDGE + BOX_WIDTH
        drawn.append(
            f'<rect class="trace-band" x="{left - 10}" y="{above}" width="{right - left + 20}" '
            f'height="{height - above - 2:g}" rx="6"/>'
            f'<text class="trace-heading" x="{left}" y="{above + 26}">{text(HEADINGS[stage])}</text>'
        )
    return drawn
