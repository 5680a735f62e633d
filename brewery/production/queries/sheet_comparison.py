"""Two sheets side by side: what of one is added, removed or changed in the other, field by field."""

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from brewery.production.queries.sheet_contents import LISTS, SINGLE, SheetContent
from brewery.production.queries.sheet_words import LABELS, headline, said, words_of

ADDED, REMOVED, CHANGED = "added", "removed", "changed"


@dataclass(frozen=True)
class Difference:
    """One thing that the two sheets say otherwise; `before` or `after` is empty where one says nothing of it."""

    part: str
    change: str
    about: str
    before: str
    after: str


def differences(before: SheetContent, after: SheetContent) -> list[Difference]:
    """Return what differs, in the order of the sheet; nothing where both say the same."""
    told = []
    for name in SINGLE:
        first, second = said(name, getattr(before, name)), said(name, getattr(after, name))
        if getattr(before, name) != getattr(after, name):
            told.append(Difference("head", _kind(first, second), LABELS[name], first, second))
    told += _sets(before, after)
    for name in LISTS:
        told += _lists(name, getattr(before, name), getattr(after, name))
    return told


def _kind(first: str, second: str) -> str:
    return CHANGED if first and second else ADDED if second else REMOVED


def _sets(before: SheetContent, after: SheetContent) -> list[Difference]:
    gone = [
        Difference("formats", REMOVED, str(one), str(one), "") for one in before.formats if one not in after.formats
    ]
    new = [Difference("formats", ADDED, str(one), "", str(one)) for one in after.formats if one not in before.formats]
    return gone + new


def _lists(name: str, before: Sequence[Any], after: Sequence[Any]) -> list[Difference]:
    """Return what differs of a list: lines about the same thing are paired in their order, the rest came or went."""
    first, second = [headline(line) for line in before], [headline(line) for line in after]
    told: list[Difference] = []
    for _, start, end, other_start, other_end in SequenceMatcher(None, first, second, autojunk=False).get_opcodes():
        pairs = list(zip(before[start:end], after[other_start:other_end], strict=False))
        if first[start:end] == second[other_start:other_end]:
            told += [_pair(name, one, other) for one, other in pairs if one != other]
        else:
            told += [Difference(name, REMOVED, headline(line), words_of(line), "") for line in before[start:end]]
            told += [
                Difference(name, ADDED, headline(line), "", words_of(line)) for line in after[other_start:other_end]
            ]
    return told


def _pair(name: str, before: Any, after: Any) -> Difference:
    return Difference(name, CHANGED, headline(before), words_of(before), words_of(after))
