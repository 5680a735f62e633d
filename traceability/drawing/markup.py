"""Text made safe for XML: escaped, and without characters that XML cannot hold."""

import re
from xml.sax.saxutils import escape, quoteattr

_IMPOSSIBLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def text(value: str) -> str:
    """Return `value` for use between tags."""
    return escape(_IMPOSSIBLE.sub("\ufffd", value))


def attributes(values: dict[str, str | int | float | None]) -> str:
    """Return the attributes, each with a space before it; those that are None are left out."""
    return "".join(
        f" {name}={quoteattr(_IMPOSSIBLE.sub(chr(0xFFFD), str(value)))}"
        for name, value in values.items()
        if value is not None
    )
