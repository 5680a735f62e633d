"""A graph in brief: nothing runs in a circle, every node is stood for, subjects stay apart."""

from dataclasses import replace

from hypothesis import given

from tests.traceability.drawing.graphs import any_graph
from traceability.drawing import DrawnLink, DrawnNode, Graph, Stage, draw
from traceability.drawing.brief import in_brief


def tank(at: int, **other: str) -> DrawnNode:
    return DrawnNode(at, f"T{at}", "Lager", "", Stage.BEER, group="lager", **other)


def test_the_versions_of_a_beer_are_one_box_and_links_between_them_are_counted():
    """M1* ── T2 ── T3 ── T4 ── K5 becomes M1* ── 3 lots ── K5, without two links."""
    malt = DrawnNode(1, "M1", "Malt", "", Stage.RAW, is_subject=True)
    kegs = DrawnNode(5, "K5", "Keg", "", Stage.PACKAGED)
    links = [DrawnLink(at, at + 1, "ingredient", "", 1.0) for at in range(1, 5)]
    brief = in_brief([malt, tank(2), tank(3), tank(4), kegs], links)
    assert [(node.code, node.stands_for) for node in brief.nodes] == [("M1", 1), ("3 lots", 3), ("K5", 1)]
    assert ([(link.parent, link.child) for link in brief.links], brief.left_out) == ([(1, 2), (2, 5)], 2)


def test_what_is_held_is_not_folded_with_what_is_not():
    brief = in_brief([tank(at) for at in (1, 2, 3)] + [tank(at, flag="on hold") for at in (4, 5, 6)], [])
    assert [(node.flag, node.stands_for) for node in brief.nodes] == [(None, 3), ("on hold", 3)]


def test_a_stage_of_too_many_products_is_one_box_that_says_how_many():
    malts = [DrawnNode(at, f"M{at}", f"Malt {at}", "", Stage.RAW, group=f"m{at}") for at in range(1, 13)]
    (box,) = in_brief(malts, []).nodes
    assert (box.code, box.title, box.stands_for) == ("12 lots", "12 products", 12)


@given(any_graph())
def test_any_graph_in_brief_can_be_drawn_and_stands_for_all(graph: tuple[list[DrawnNode], list[DrawnLink]]):
    nodes, links = graph
    nodes = [replace(node, is_subject=node.is_subject or node.id == len(nodes) // 2) for node in nodes]
    brief = in_brief(nodes, links)
    assert sum(node.stands_for for node in brief.nodes) == len(nodes)
    subjects = [node.id for node in nodes if node.is_subject]
    assert [node.id for node in brief.nodes if node.is_subject and node.stands_for == 1] == subjects
    assert len(brief.links) <= len(links) - brief.left_out
    assert Graph.of(brief.nodes, brief.links).parents_first
    assert draw(brief.nodes, brief.links)
