"""Drawings of traces: nodes and links in, SVG or text out. Pure: no Django, no database, no clock, no chance.

The same graph always gives the same bytes, so a drawing may be cached, compared and archived.
"""

from traceability.drawing.graph import DrawnLink, DrawnNode, Graph, GraphError, LinkKind, Stage
from traceability.drawing.svg import draw
from traceability.drawing.text import outline

__all__ = ["DrawnLink", "DrawnNode", "Graph", "GraphError", "LinkKind", "Stage", "draw", "outline"]
