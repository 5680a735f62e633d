"""Answering a trace that was asked for in one text."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime

from brewery.kernel.errors import DomainError, InvalidInput
from inventory.models import Link
from traceability.queries.graph import ALL_KINDS, Direction
from traceability.queries.starts import Sort, Start, lots_of_start
from traceability.queries.tracing import Tracing, trace_all
from traceability.services.starts import understood

BOTH = "both"
WAYS = (BOTH, *(way.value for way in Direction))


class NothingToTrace(DomainError):
    """Nothing bears the name, or there is no lot of what bears it."""

    code = "nothing_to_trace"
    status = 404
    title = "There is nothing to trace."
    template = "{fault}"


@dataclass(frozen=True)
class Answer:
    """What was meant, and what is reached from it; or choices where it can mean several things; or why nothing is.

    `is_misread` where a label is wrong, and not the record without what it names.
    """

    start: Start | None = None
    at: datetime | None = None
    choices: list[Start] = field(default_factory=list)
    fault: str = ""
    is_misread: bool = False
    found: Tracing | None = None

    def or_refusal(self, text: str, field: str) -> "Answer":
        """Return the answer. Raises InvalidInput for a label that is wrong, NothingToTrace for any other fault."""
        if self.is_misread:
            raise InvalidInput(field=field, value=text, problem=self.fault)
        if self.fault:
            raise NothingToTrace(fault=self.fault, field=field)
        return self


def answer_to(
    text: str,
    *,
    at: datetime | None = None,
    way: str = BOTH,
    kinds: Collection[Link.Kind] = ALL_KINDS,
    as_of: datetime | None = None,
) -> Answer:
    """Return the answer to what was typed or scanned; `at` goes before a moment that the text itself names."""
    meant = understood(text)
    at = at or meant.at
    if len(meant.starts) > 1:
        return Answer(at=at, choices=meant.starts)
    if not meant.starts:
        nothing = f"Nothing on record is called “{text}”: type a code, a number or a name, or scan the label."
        return Answer(at=at, fault=meant.refusal or nothing, is_misread=bool(meant.refusal))
    [start] = meant.starts
    lots = lots_of_start(start, at)
    if not lots:
        return Answer(start, at, fault=f"{start.words}: {_why_nothing(start, at)}")
    ways = list(Direction) if way == BOTH else [Direction(way)]
    return Answer(start, at, found=trace_all(lots, ways, kinds, as_of))


def _why_nothing(start: Start, at: datetime | None) -> str:
    if start.sort is not Sort.PLACE:
        return "there is no lot of it."
    return "nothing lay there then." if at else "nothing lay there now: say when, as in “FV3 12 May 14:00”."
