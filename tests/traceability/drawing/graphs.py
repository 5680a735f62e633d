"""Graphs to draw: one that is told by hand, and any that hypothesis can think of."""

from hypothesis import strategies as st

from traceability.drawing import DrawnLink, DrawnNode, LinkKind, Stage

MALT = DrawnNode(1, "PM-7", "Pilsner malt", "1 250 kg, Silo 1", Stage.RAW, "/lots/1", True)
HOP = DrawnNode(2, "SZ-3", "Saaz", "12 kg, Hop store", Stage.RAW, "/lots/2", flag="on_hold")
WORT = DrawnNode(3, "W-101", "Wort", "0 L left", Stage.WORT, "/lots/3")
BEER = DrawnNode(4, "FV1-101", "Pilsner", "118 hL, FV 1", Stage.BEER, "/lots/4")
YEAST = DrawnNode(5, "Y-34-2", "Lager yeast", "80 kg, Brink", Stage.RAW, "/lots/5")
NODES = [MALT, HOP, WORT, BEER, YEAST]
LINKS = [
    DrawnLink(1, 3, "ingredient", "1 250 kg", 1.0),
    DrawnLink(2, 3, "ingredient", "6 kg", 0.2),
    DrawnLink(3, 4, "ingredient", "120 hL", 1.0),
    DrawnLink(4, 5, "carryover", "150 L", 0.01),
]
"""
    PM-7 ──┐
           W-101 ── FV1-101 ·· Y-34-2
    SZ-3 ──┘
"""

words = st.text(max_size=30)


@st.composite
def any_graph(draw: st.DrawFn) -> tuple[list[DrawnNode], list[DrawnLink]]:
    """Up to 24 nodes with any words, stages, groups and flags; links from smaller to larger ids."""
    count = draw(st.integers(1, 24))
    nodes = [
        DrawnNode(
            id=at,
            code=draw(words),
            title=draw(words),
            detail=draw(words),
            stage=draw(st.none() | st.sampled_from(list(Stage))),
            href=draw(st.none() | st.just(f"/lots/{at}")),
            is_subject=at == 0,
            group=draw(st.none() | st.sampled_from("ab")),
            flag=draw(st.none() | st.sampled_from(["on_hold", "rejected"]) | words),
        )
        for at in range(count)
    ]
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(lambda pair: pair[0] < pair[1])
    ends = draw(st.sets(st.tuples(pairs, st.sampled_from(list(LinkKind))), max_size=60)) if count > 1 else set()
    return nodes, [DrawnLink(*pair, kind, draw(words), draw(st.floats(0, 1))) for pair, kind in sorted(ends)]
