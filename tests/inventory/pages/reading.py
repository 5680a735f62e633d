"""What a page says, as a person reads it."""

import html
import re
import uuid
from typing import Any


def text_of(answer: Any) -> str:
    """Return the words of a page, without markup."""
    shown = html.unescape(re.sub("<[^>]+>", " ", answer.content.decode()))
    return " ".join(shown.replace("\u202f", "").split())


def sent(**fields: str) -> dict[str, str]:
    """Return what a form sends, under a request id never used."""
    return {"request_id": str(uuid.uuid4()), **fields}
