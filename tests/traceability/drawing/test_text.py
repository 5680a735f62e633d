from hypothesis import given, settings

from tests.traceability.drawing.graphs import LINKS, NODES, any_graph
from traceability.drawing import outline


def test_every_node_comes_before_its_children_with_its_links_below():
    assert outline(NODES, LINKS).split("\n") == [
        "PM-7, Pilsner malt, 1 250 kg, Silo 1, the lot asked for",
        "    → W-101: ingredient, 1 250 kg",
        "SZ-3, Saaz, 12 kg, Hop store, on hold",
        "    → W-101: ingredient, 6 kg",
        "W-101, Wort, 0 L left",
        "    → FV1-101: ingredient, 120 hL",
        "FV1-101, Pilsner, 118 hL, FV 1",
        "    → Y-34-2: carryover, 150 L",
        "Y-34-2, Lager yeast, 80 kg, Brink",
    ]


@given(any_graph())
@settings(max_examples=40, deadline=None)
def test_the_text_has_one_line_a_node_and_one_a_link(graph):
    nodes, links = graph
    lines = outline(nodes, links).split("\n")
    assert len(lines) == len(nodes) + len(links)
    assert sum(line.startswith("    → ") for line in lines) >= len(links)
