"""What a label says to machines: GS1 element strings, as a barcode holds them, as people read them, and as a link."""

from collections.abc import Sequence
from urllib.parse import quote

DOMAIN = "https://id.gs1.org"
"""GS1 Digital Link Standard: the domain of the canonical form."""

Element = tuple[str, str]
"""An application identifier and its value: ("10", "BREW24-0117")."""

QUALIFIERS = {"01": ("10", "21"), "414": ("254",)}
"""What follows a key in the path of a link, in this order; all else stands in its query."""


def human_readable(elements: Sequence[Element]) -> str:
    """Return the line under a barcode: (01)…(10)…."""
    return "".join(f"({identifier}){value}" for identifier, value in elements)


def bracketed(elements: Sequence[Element]) -> str:
    """Return the elements as zint reads them; no character of GS1 set 82 is a square bracket."""
    return "".join(f"[{identifier}]{value}" for identifier, value in elements)


def digital_link(elements: Sequence[Element]) -> str:
    """Return the elements as a GS1 Digital Link URI; the first of them is the key."""
    key, *rest = elements
    path_keys = QUALIFIERS.get(key[0], ())
    in_path = [key, *(element for wanted in path_keys for element in rest if element[0] == wanted)]
    path = "".join(f"/{identifier}/{quote(value, safe='')}" for identifier, value in in_path)
    others = sorted(element for element in rest if element not in in_path)
    query = "&".join(f"{identifier}={quote(value, safe='')}" for identifier, value in others)
    return f"{DOMAIN}{path}{'?' if query else ''}{query}"
