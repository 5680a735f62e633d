"""How wide a text is, near enough to clip it before it leaves its box.

The widths are those of a common sans-serif face of medium width, in thousandths of the type size (measured on
Liberation Sans); a page may be shown in a wider face, so a margin is added.
"""

import unicodedata

_MARGIN = 1.14
_BOLD = 1.12
_WIDE, _USUAL = 1000, 600
_NARROW = {
    222: "ijl'",
    278: " !,./:;I[\\]ft|",
    333: "()-`r{}",
    355: '"',
    389: "*",
    469: "^",
    500: "Jckszvxy",
    556: "#$0123456789?L_abdeghnopqu",
    584: "+<=>~",
    611: "FTZ",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ",
    833: "Mm",
    889: "%",
    944: "W",
    1015: "@",
}
_WIDTHS = {character: width for width, characters in _NARROW.items() for character in characters}


def width_of(text: str, size: float, *, is_bold: bool = False) -> float:
    """Return about how wide `text` is at that type size, in the same unit, rather too wide than too narrow."""
    thousandths = sum(_WIDTHS.get(character) or _other(character) for character in text)
    return thousandths / 1000 * size * _MARGIN * (_BOLD if is_bold else 1)


def clipped(text: str, size: float, room: float, *, is_bold: bool = False) -> str:
    """Return `text`, or as much of its beginning as fits with an ellipsis."""
    if width_of(text, size, is_bold=is_bold) <= room:
        return text
    room -= width_of("…", size, is_bold=is_bold)
    taken, width = 0, 0.0
    for character in text:
        width += width_of(character, size, is_bold=is_bold)
        if width > room:
            break
        taken += 1
    return text[:taken].rstrip() + "…"


def _other(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return _WIDE if unicodedata.east_asian_width(character) in "WF" or character == "…" else _USUAL
