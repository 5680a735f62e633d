"""The legend: what the kinds of line and the marks on boxes mean. Only what occurs in the drawing is explained."""

from traceability.drawing.graph import Graph, LinkKind
from traceability.drawing.measure import width_of

LEGEND_HEIGHT = 44
LEGEND_WIDTH = 640
SAMPLE = 44

WORDS = {
    LinkKind.INGREDIENT: "became part of",
    LinkKind.CULTURE: "yeast's mother of",
    LinkKind.CARRYOVER: "left residue in",
    LinkKind.DELIVERED: "was delivered",
}


def legend(graph: Graph, left: float) -> str:
    """Return the legend of a graph, in a row from `left`; no wider than LEGEND_WIDTH."""
    kinds = {link.kind for link in graph.links}
    samples = [(_line(kind), WORDS[kind]) for kind in LinkKind if kind in kinds]
    if any(node.is_subject for node in graph.nodes.values()):
        samples.append((_SUBJECT, "the lot asked for"))
    drawn, x = [], left
    for sample, words in samples:
        drawn.append(f'<g transform="translate({x:g} 12)">{sample}<text x="{SAMPLE + 8}" y="15">{words}</text></g>')
        x += SAMPLE + 24 + round(width_of(words, 13))
    return f'<g class="trace-legend">{"".join(drawn)}</g>'


_SUBJECT = f'<g class="is-subject"><rect class="trace-box" x="2" y="2" width="{SAMPLE - 4}" height="17" rx="4"/></g>'


def _line(kind: LinkKind) -> str:
    return f'<path class="trace-link {kind}" d="M0 10.5H{SAMPLE}" stroke-width="3.5"/>'
