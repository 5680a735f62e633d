"""What is wrong with a document: where, which value, and what to do."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

Path = tuple[str | int, ...]

LONGEST_SHOWN = 60
NOT_SHOWN = object()


@dataclass(frozen=True)
class Fault:
    """One thing to put right; `advice` is a sentence. A value that is a list or an object is not shown."""

    path: Path
    value: Any
    advice: str

    @property
    def field(self) -> str:
        """The way to it, as in epcisBody.eventList[0].action."""
        name = ""
        for step in self.path:
            name += f"[{step}]" if isinstance(step, int) else f".{step}" if name else step
        return name or "the document"

    @property
    def shown(self) -> str:
        """The value as people read it, or the beginning of a long one; empty for what has parts."""
        if self.value is NOT_SHOWN or isinstance(self.value, dict | list):
            return ""
        text = json.dumps(self.value, ensure_ascii=False)
        return text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "…"


def missing(path: Sequence[str | int], advice: str) -> Fault:
    """Return that something which has to be there is not."""
    return Fault(tuple(path), NOT_SHOWN, advice)
