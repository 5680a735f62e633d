import itertools
from pathlib import Path

import pytest
from hypothesis import given, settings

from tests.traceability.drawing.graphs import BEER, HOP, LINKS, MALT, NODES, WORT, YEAST, any_graph
from tests.traceability.drawing.pictures import SVG, boxes_of, lines_of, parsed
from traceability.drawing import DrawnLink, DrawnNode, Graph, GraphError, draw
from traceability.drawing.folding import folded
from traceability.drawing.style import page_css

DRAWING_CSS = Path(__file__).parents[3] / "traceability/static/traceability/drawing.css"


def test_every_node_and_every_link_is_drawn_once():
    drawing = draw(NODES, LINKS)
    assert sorted(node for node, _ in boxes_of(drawing)) == [1, 2, 3, 4, 5]
    assert sorted(lines_of(drawing)) == [
        (1, 3, "ingredient"),
        (2, 3, "ingredient"),
        (3, 4, "ingredient"),
        (4, 5, "carryover"),
    ]


def test_stages_stand_in_bands_from_left_to_right():
    """Yeast is a raw lot, but one that was harvested from beer stands in the band of the beer."""
    places = dict(boxes_of(draw(NODES, LINKS)))
    assert places[MALT.id].left == places[HOP.id].left < places[WORT.id].left < places[BEER.id].left
    assert places[BEER.id].left < places[YEAST.id].left
    headings = [
        text.text for text in parsed(draw(NODES, LINKS)).iter(f"{SVG}text") if text.get("class") == "trace-heading"
    ]
    assert headings == ["Raw lots", "Wort", "In the cellar"]


@given(any_graph())
@settings(max_examples=60, deadline=None)
def test_of_any_graph_all_is_drawn_once_and_nothing_overlaps(graph):
    nodes, links = graph
    drawing = draw(nodes, links)
    shown = folded(Graph.of(nodes, links))
    boxes = boxes_of(drawing)
    assert sorted(node for node, _ in boxes) == sorted(shown.nodes)
    assert sorted(lines_of(drawing)) == sorted((link.parent, link.child, str(link.kind)) for link in shown.links)
    for (_, one), (_, other) in itertools.combinations(boxes, 2):
        assert not one.overlaps(other)
    places = dict(boxes)
    for parent, child, _ in lines_of(drawing):
        assert places[parent].right < places[child].left


@given(any_graph())
@settings(max_examples=40, deadline=None)
def test_the_order_in_which_a_graph_is_listed_changes_nothing(graph):
    nodes, links = graph
    assert draw(nodes[::-1], links[::-1]) == draw(nodes, links)


def test_a_long_history_stands_in_bands_and_close_together_within_them():
    """Twelve beers in a row; a hop and a beer that only the last took: the beer stands beside the last but one."""
    row = [DrawnNode(at, f"T{at}", "Beer", "", "beer") for at in range(12)]
    chain = [DrawnLink(at, at + 1, "ingredient", "", 1) for at in range(11)]
    late = [DrawnNode(98, "X", "Beer", "", "beer"), DrawnNode(99, "HOP", "Saaz", "", "raw")]
    drawing = draw([*row, *late], [*chain, *(DrawnLink(one.id, 11, "ingredient", "", 0.1) for one in late)])
    places = dict(boxes_of(drawing))
    assert places[98].left == places[10].left
    assert places[99].right < places[0].left
    assert drawing.count("trace-heading") == 2


def test_words_are_shown_as_they_are_and_never_become_markup():
    node = DrawnNode(1, "<b>&\"'", "</svg><script>alert(1)</script>", "a\x00b\ud800", href='/?a="b"&c=<d>', flag="<i>")
    drawing = draw([node], [])
    root = parsed(drawing)
    assert "script" not in {element.tag.removeprefix(SVG) for element in root.iter()}
    assert next(root.iter(f"{SVG}a")).get("href") == '/?a="b"&c=<d>'
    assert any(text.text == "<b>&\"'" for text in root.iter(f"{SVG}text"))
    assert "a\N{REPLACEMENT CHARACTER}b\N{REPLACEMENT CHARACTER}" in drawing


def test_a_long_name_is_clipped_in_its_box_and_whole_in_its_title():
    name = "Quillmere " * 20
    root = parsed(draw([DrawnNode(1, "L1", name, "")], []))
    shown = next(text.text for text in root.iter(f"{SVG}text") if text.get("class") == "trace-title")
    assert shown.endswith("…")
    assert len(shown) < 40
    assert name.strip() in next(root.iter(f"{SVG}title")).text


def test_a_node_is_a_link_that_says_all_of_itself():
    root = parsed(draw(NODES, LINKS))
    link = next(each for each in root.iter(f"{SVG}a") if each.get("data-node") == "2")
    assert link.get("href") == "/lots/2"
    assert link.get("aria-label") == "SZ-3, Saaz, 12 kg, Hop store, on hold"


def test_a_line_is_wider_the_more_went_along_it():
    root = parsed(draw(NODES, LINKS))
    widths = {
        each.get("data-parent"): float(each.get("stroke-width"))
        for each in root.iter(f"{SVG}path")
        if each.get("data-parent")
    }
    assert widths["1"] == widths["3"] > widths["2"] > widths["4"] > 1


def test_on_a_page_there_is_no_inline_style_or_script():
    root = parsed(draw(NODES, LINKS))
    assert {element.tag.removeprefix(SVG) for element in root.iter()}.isdisjoint({"style", "script"})
    names = {name for element in root.iter() for name in element.attrib}
    assert "style" not in names
    assert not [name for name in names if name.startswith("on")]


def test_a_drawing_of_its_own_carries_fixed_colours():
    drawing = draw(NODES, LINKS, standalone=True)
    assert "<style>" in drawing
    assert "var(" not in drawing


def test_the_style_sheet_of_pages_is_what_the_rules_say():
    assert DRAWING_CSS.read_text() == page_css()


def test_nothing_is_drawn_as_an_empty_drawing():
    assert boxes_of(draw([], [])) == []


@pytest.mark.parametrize(
    ("nodes", "links", "sentence"),
    [
        ([MALT, WORT], [DrawnLink(1, 3, "ingredient", "", 1), DrawnLink(3, 1, "ingredient", "", 1)], "circle"),
        ([MALT], [DrawnLink(1, 1, "ingredient", "", 1)], "circle"),
        ([MALT], [DrawnLink(1, 3, "ingredient", "", 1)], "not drawn"),
        ([MALT, MALT], [], "twice"),
        ([DrawnNode(1, "", "", "", stage="malt house")], [], "no stage"),
        ([MALT, WORT], [DrawnLink(1, 3, "spill", "", 1)], "no kind"),
    ],
)
def test_what_is_no_graph_is_refused(nodes, links, sentence):
    with pytest.raises(GraphError, match=sentence):
        draw(nodes, links)
