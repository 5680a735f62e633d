"""Nodes as boxes: what a node says, and how it is drawn."""

from traceability.drawing.graph import DrawnNode
from traceability.drawing.markup import attributes, text
from traceability.drawing.measure import clipped, width_of
from traceability.drawing.placing import BOX_HEIGHT, BOX_WIDTH

STRIP = 7
MARGIN = 9
FLAG_HEIGHT = 18
FLAG_MOST = 150
CODES_NAMED = 40

_SHAPES = {
    "quarantined": "M6 0 12 6 6 12 0 6Z",
    "on hold": "M3.5 0h5L12 3.5v5L8.5 12h-5L0 8.5v-5Z",
    "rejected": "M0 0h12v12H0Z",
}
_OTHER_SHAPE = "M6 0 12 12H0Z"


def sentence(node: DrawnNode) -> str:
    """Return all that a node says, in one line, nothing clipped."""
    words = [node.code, node.title, node.detail, _flag_words(node), "the lot asked for" if node.is_subject else ""]
    words.append("not listed" if node.is_faded else "")
    if node.folded:
        codes = [member.code for member in node.folded]
        left_out = len(codes) - CODES_NAMED
        words.append(", ".join(codes[:CODES_NAMED]) + (f" and {left_out} more" if left_out > 0 else ""))
    return ", ".join(word for word in words if word)


def box(node: DrawnNode, left: float, top: float) -> str:
    """Return the markup of a node with the upper left corner of its box at `left`, `top`."""
    kind = "a" if node.href else "g"
    head = attributes(
        {
            "class": " ".join(["trace-node", *_marks(node)]),
            "href": node.href,
            "role": None if node.href else "img",
            "tabindex": None if node.href else 0,
            "aria-label": sentence(node),
            "data-node": node.id,
            "transform": f"translate({left:g} {top:g})",
        }
    )
    parts = [f"<title>{text(sentence(node))}</title>", _stack(node), _frame(node), _lines(node), _flag(node)]
    return f"<{kind}{head}>{''.join(parts)}</{kind}>"


def _marks(node: DrawnNode) -> list[str]:
    return [name for name, is_so in (("is-subject", node.is_subject), ("is-faded", node.is_faded)) if is_so]


def _stack(node: DrawnNode) -> str:
    """Return the edge of the boxes that lie beneath a folded one."""
    if not node.folded:
        return ""
    return f'<path class="trace-stack" d="M6 {BOX_HEIGHT}v5H{BOX_WIDTH + 5}V6h-5V{BOX_HEIGHT}Z"/>'


def _frame(node: DrawnNode) -> str:
    strip = f"trace-strip {node.stage}" if node.stage else "trace-strip"
    foot = BOX_HEIGHT - 2
    return (
        f'<rect class="trace-box" width="{BOX_WIDTH}" height="{BOX_HEIGHT}" rx="5"/>'
        f'<path class="{strip}" d="M{STRIP} 2H5Q2 2 2 5V{foot - 3}Q2 {foot} 5 {foot}H{STRIP}Z"/>'
    )


def _lines(node: DrawnNode) -> str:
    left, room = STRIP + MARGIN, BOX_WIDTH - STRIP - 2 * MARGIN
    return (
        f'<text class="trace-code" x="{left}" y="22">{text(clipped(node.code, 14, room, is_bold=True))}</text>'
        f'<text class="trace-title" x="{left}" y="39">{text(clipped(node.title, 13, room))}</text>'
        f'<text class="trace-detail" x="{left}" y="55">{text(clipped(node.detail, 12, room))}</text>'
    )


def _flag(node: DrawnNode) -> str:
    """Return the flag, a shape and a word, on the upper edge of the box."""
    if not node.flag:
        return ""
    word = clipped(_flag_words(node), 12, FLAG_MOST, is_bold=True)
    width = round(width_of(word, 12, is_bold=True)) + 28
    shape = _SHAPES.get(_flag_words(node), _OTHER_SHAPE)
    return (
        f'<g class="trace-flag" transform="translate({BOX_WIDTH - width - 6} {-FLAG_HEIGHT // 2})">'
        f'<rect width="{width}" height="{FLAG_HEIGHT}" rx="9"/>'
        f'<path d="{shape}" transform="translate(6 3)"/>'
        f'<text x="22" y="13">{text(word)}</text></g>'
    )


def _flag_words(node: DrawnNode) -> str:
    return (node.flag or "").replace("_", " ")
