"""What a document may hold at most, told before anything else looks at it: deep, endless and unkeepable content."""

from collections.abc import Iterator
from typing import Any

from traceability.epcis.faults import NOT_SHOWN, Fault, Path

DEEPEST = 32
MOST_EVENTS = 1000
MOST_THINGS = 2000
LONGEST_URI = 500
LARGEST_NUMBER = 10**15


def faults_of_size(document: Any) -> list[Fault]:
    """Return the first content that is too deep, too large a number, or cannot be kept; none where all can be."""
    found = next(_walk(document), None)
    return [found] if found else []


def _walk(document: Any) -> Iterator[Fault]:
    waiting: list[tuple[Path, Any]] = [((), document)]
    while waiting:
        path, value = waiting.pop()
        if len(path) > DEEPEST:
            yield Fault(path[:4], NOT_SHOWN, f"Nest it at most {DEEPEST} deep.")
        elif isinstance(value, dict):
            if any("\x00" in key for key in value):
                yield Fault(path, NOT_SHOWN, "Leave the NUL out of its names.")
            waiting += [((*path, key), one) for key, one in value.items()]
        elif isinstance(value, list):
            waiting += [((*path, place), one) for place, one in enumerate(value)]
        elif isinstance(value, str) and "\x00" in value:
            yield Fault(path, value, "Leave the NUL out.")
        elif isinstance(value, int | float) and not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
            yield Fault(path, NOT_SHOWN, "Give a number below a million times a thousand million.")
