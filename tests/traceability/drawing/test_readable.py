"""A drawing of 300 lots is still one that can be read."""

import itertools
import random

import pytest

from tests.traceability.drawing.pictures import SVG, boxes_of, lines_of, parsed
from traceability.drawing import DrawnLink, DrawnNode, Graph, LinkKind, Stage, draw
from traceability.drawing.folding import MOST_BOXES, fills_folded, readable
from traceability.drawing.measure import width_of
from traceability.drawing.placing import BOX_WIDTH

WIDEST, TALLEST = 8_000, 4_000


def season(lots: int = 300) -> tuple[list[DrawnNode], list[DrawnLink]]:
    """Malts and hops → worts → fills of six tanks in three versions each → kegs → customers; nothing hangs alike."""
    chance = random.Random(7)
    nodes: list[DrawnNode] = []
    links: list[DrawnLink] = []

    def made(stage: Stage, name: str, parents: list[int], vessel: str | None = None) -> int:
        key = len(nodes)
        nodes.append(
            DrawnNode(
                key,
                f"{name}-{key}",
                f"{name} of a long and telling name",
                "12 hL",
                stage,
                f"/lots/{key}/",
                is_subject=key == lots // 2,
                group=name,
                vessel=vessel,
            )
        )
        links.extend(DrawnLink(parent, key, LinkKind.INGREDIENT, "1 kg", 0.3) for parent in sorted(set(parents)))
        return key

    raw = [made(Stage.RAW, chance.choice(["Malt", "Hop", "Salt"]), []) for _ in range(lots // 3)]
    for tank in itertools.cycle(f"FV{number}" for number in range(1, 7)):
        if len(nodes) >= lots:
            return nodes, links
        wort = made(Stage.WORT, chance.choice(["Ale wort", "Stout wort"]), chance.sample(raw, 6))
        beer = made(Stage.BEER, "Ale", [wort], tank)
        for _ in range(2):
            beer = made(Stage.BEER, "Ale", [beer, chance.choice(raw)], tank)
        for _ in range(3):
            made(Stage.PACKAGED, chance.choice(["Keg", "Case"]), [beer, chance.choice(raw)])


@pytest.fixture(scope="module")
def drawn() -> tuple[Graph, Graph, str]:
    nodes, links = season()
    return Graph.of(nodes, links), readable(Graph.of(nodes, links)), draw(nodes, links)


def test_at_300_lots_width_and_height_are_bounded(drawn):
    whole, _, drawing = drawn
    picture = parsed(drawing)
    assert len(whole.nodes) >= 300
    assert len(boxes_of(drawing)) <= MOST_BOXES
    assert float(picture.get("width")) <= WIDEST
    assert float(picture.get("height")) <= TALLEST


def test_at_300_lots_no_box_overlaps_another_and_parents_stand_left(drawn):
    _, _, drawing = drawn
    places = boxes_of(drawing)
    for (_, one), (_, other) in itertools.combinations(places, 2):
        assert not one.overlaps(other)
    at = dict(places)
    assert all(at[parent].right < at[child].left for parent, child, _ in lines_of(drawing))


def test_at_300_lots_every_lot_and_every_link_is_drawn_or_folded(drawn):
    whole, shown, drawing = drawn
    stands_for = {single.id: node.id for node in shown.nodes.values() for single in node.folded or (node,)}
    assert stands_for.keys() == whole.nodes.keys()
    lines = set(lines_of(drawing))
    for link in whole.links:
        parent, child = stands_for[link.parent], stands_for[link.child]
        assert parent == child or (parent, child, str(link.kind)) in lines


def test_at_300_lots_no_text_leaves_its_box(drawn):
    _, _, drawing = drawn
    sizes = {"trace-code": (14, True), "trace-title": (13, False), "trace-detail": (12, False)}
    for text in parsed(drawing).iter(f"{SVG}text"):
        if text.get("class") in sizes:
            size, is_bold = sizes[text.get("class")]
            assert float(text.get("x")) + width_of(text.text or "", size, is_bold=is_bold) <= BOX_WIDTH


def test_a_fold_leads_to_where_it_is_open_and_there_its_lots_stand_apart():
    nodes, links = season()
    shown = readable(Graph.of(nodes, links))
    fold = next(node for node in shown.nodes.values() if node.folded)
    drawing = draw(nodes, links, way_to_open=lambda key: f"?open={key}")
    hrefs = {each.get("href") for each in parsed(drawing).iter() if each.get("data-node") == str(fold.id)}
    assert hrefs == {f"?open={fold.id}"}
    opened = readable(Graph.of(nodes, links), {fold.id})
    assert not opened.nodes[fold.id].folded
    assert len(opened.nodes) > len(shown.nodes)


def version(key: int, vessel: str | None = "FV1") -> DrawnNode:
    return DrawnNode(key, f"B{key}", "Ale", "", Stage.BEER, group="Ale", vessel=vessel)


def test_versions_of_one_fill_become_one():
    """B1 → B2 → B3 in one tank, then B4 elsewhere."""
    nodes = [version(1), version(2), version(3), version(4, "BT1")]
    links = [DrawnLink(at, at + 1, LinkKind.INGREDIENT, "", 1.0) for at in (1, 2, 3)]
    graph = fills_folded(Graph.of(nodes, links))
    assert {key: node.stands_for for key, node in graph.nodes.items()} == {1: 3, 4: 1}
    assert [(link.parent, link.child) for link in graph.links] == [(1, 4)]


def test_versions_between_which_another_way_leads_stay_apart():
    """B1 → B2 → B4 in one tank, but B2 → Y → B4 as well: one box for all would be left and right of Y."""
    nodes = [version(1), version(2), version(3, None), version(4), version(5)]
    pairs = [(1, 2), (2, 4), (2, 3), (3, 4), (4, 5)]
    graph = fills_folded(Graph.of(nodes, [DrawnLink(*pair, LinkKind.INGREDIENT, "", 1.0) for pair in pairs]))
    assert sorted(graph.nodes) == [1, 2, 3, 4, 5]
    assert graph.parents_first == [1, 2, 3, 4, 5]
