"""Columns: every node stands right of all its parents.

A history is drawn in bands, a stage each, so that all raw lots stand together and all packaged ones. In a long one,
where yeast has gone from tank to tank for months, the band of the cellar is many columns wide; there each node stands
as far right in its band as what it touches lets it, so that links stay short.
"""

from dataclasses import dataclass

from traceability.drawing.graph import Graph, Stage

MOST_COLUMNS_FROM_THE_LEFT = 10

_RANK = {stage.value: rank for rank, stage in enumerate(Stage)}


@dataclass(frozen=True)
class Layers:
    """The column of every node, and for every stage that is drawn as a band its first and last column."""

    columns: dict[int, int]
    bands: dict[Stage, tuple[int, int]]


def layers_of(graph: Graph) -> Layers:
    """Return the columns of a graph: in bands, in a long history close to what they touch."""
    layers = in_bands(graph)
    if max(layers.columns.values(), default=0) < MOST_COLUMNS_FROM_THE_LEFT:
        return layers
    return Layers(close_together(graph, layers), layers.bands)


def columns_to_fold_in(graph: Graph) -> dict[int, int]:
    """Return columns in which what is alike may become one: those of a short history as it is drawn.

    The bands of a long one would put lots together that months lie between, so there bands do not count.
    """
    layers = in_bands(graph)
    if max(layers.columns.values(), default=0) < MOST_COLUMNS_FROM_THE_LEFT:
        return layers.columns
    columns: dict[int, int] = {}
    for node in graph.parents_first:
        columns[node] = max((columns[parent] + 1 for parent in graph.parents[node]), default=0)
    return close_together(graph, Layers(columns, {}))


def in_bands(graph: Graph) -> Layers:
    """Return the columns by the longest way from a source, with a floor for each stage.

    A node that comes after one of a later stage, as yeast that was harvested from beer does, stands in the band of that
    later stage. Without stages the columns are the longest ways alone.
    """
    ranks = _ranks(graph)
    columns: dict[int, int] = {}
    bands: dict[Stage, tuple[int, int]] = {}
    floor = 0
    for rank in sorted(set(ranks.values())):
        members = [node for node in graph.parents_first if ranks[node] == rank]
        for node in members:
            columns[node] = max([floor, *(columns[parent] + 1 for parent in graph.parents[node])])
        last = max(columns[node] for node in members)
        if rank >= 0:
            bands[list(Stage)[rank]] = (floor, last)
            floor = last + 1
    return Layers(columns, bands)


def close_together(graph: Graph, layers: Layers) -> dict[int, int]:
    """Return the columns with everything moved right in its band until it touches a child, or the band ends.

    What has no child stays where it is, next to what it came from.
    """
    columns = dict(layers.columns)
    ends = [last for _, last in layers.bands.values()]
    for node in reversed(graph.parents_first):
        if graph.children[node]:
            nearest = min(columns[child] for child in graph.children[node]) - 1
            columns[node] = min([nearest, *(last for last in ends if last >= columns[node])])
    return columns


def _ranks(graph: Graph) -> dict[int, int]:
    """Return how far along every node is: its own stage's rank, or that of its furthest ancestor; -1 for none."""
    ranks: dict[int, int] = {}
    for node in graph.parents_first:
        stage = graph.nodes[node].stage
        own = -1 if stage is None else _RANK[stage]
        ranks[node] = max([own, *(ranks[parent] for parent in graph.parents[node])])
    return ranks
