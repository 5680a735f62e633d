"""Questions: the facts about a brewer that a scheme needs, and their answers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeAlias

from brewery.science.ranges import OutOfRange

Facts: TypeAlias = Mapping[str, Decimal | bool]
"""What was answered, by the key of its question."""


@dataclass(frozen=True, slots=True)
class Question:
    """A fact about the brewer that a scheme needs: a number with its unit, or without one a yes or no.

    `default` None is "must be answered, where the calculation comes to it". `of_period`: the answer is about one period
    and says nothing of the next.
    """

    key: str
    words: str
    unit: str | None
    default: Decimal | bool | None
    of_period: bool = False


def number(questions: Sequence[Question], facts: Facts, key: str) -> Decimal:
    """Return the answer to a question for a number. Raises OutOfRange: not answered, not a number, below 0."""
    found = known(questions, facts, key)
    if found is None:
        raise OutOfRange(key, None, f"Answer it first: {_asked(questions, key).words}")
    if not found.is_finite() or found < 0:
        raise OutOfRange(key, found, "It must be 0 or more.")
    return found


def known(questions: Sequence[Question], facts: Facts, key: str) -> Decimal | None:
    """Return the answer to a question for a number; None where there is none and none is assumed."""
    found = facts.get(key, _asked(questions, key).default)
    if isinstance(found, bool):
        raise OutOfRange(key, found, "Answer it with a number.")
    return found


def yes(questions: Sequence[Question], facts: Facts, key: str) -> bool:
    """Return whether the answer is yes. Raises OutOfRange where it is neither yes nor no."""
    found = facts.get(key, _asked(questions, key).default)
    if not isinstance(found, bool):
        raise OutOfRange(key, found, f"Answer it with yes or no: {_asked(questions, key).words}")
    return found


def _asked(questions: Sequence[Question], key: str) -> Question:
    return next(question for question in questions if question.key == key)
