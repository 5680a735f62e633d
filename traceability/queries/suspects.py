"""Suspects: which raw lots, yeasts, tanks and fillings best explain that some packaged lots are bad and others are not.

All lots are traced back at once, and each lot on the way is marked with those that it is in: one pass over the links.
Suspects in exactly the same lots cannot be told apart by the record, and stand together.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from brewery.kernel.database.sets import portions
from brewery.kernel.errors import InvalidInput
from brewery.science.common_cause import Coverage, chance
from inventory.models import Event, Link, Location, Lot, Posting
from traceability.queries.graph import ALL_KINDS, Direction, reached_now

PLACES = (*Location.TANKS, Location.Kind.BRINK, Location.Kind.SILO, Location.Kind.PROCESS)
"""The places that something can be caught in: a run's place stands for its filling, a brew's for its brewhouse day."""


@dataclass(frozen=True)
class Suspect:
    """Lots and places that are in the same bad and good lots, how many of each, and the chance of that by accident.

    `missed` are the bad lots that it is not in, `also_in` the good ones that it is.
    """

    lots: tuple[Lot, ...]
    places: tuple[Location, ...]
    coverage: Coverage
    probability: Fraction
    missed: tuple[Lot, ...]
    also_in: tuple[Lot, ...]


def suspects(bad: Sequence[Lot], good: Sequence[Lot], kinds: Collection[Link.Kind] = ALL_KINDS) -> list[Suspect]:
    """Return the suspects, the best explanation first. Raises InvalidInput without a bad lot, or for one named twice.

    Ordered by how many bad lots are explained and good ones spared, then by the chance; the judgement is a person's.
    """
    named = [*bad, *good]
    _refuse_what_cannot_be(bad, named)
    bits = {lot.pk: 1 << place for place, lot in enumerate(named)}
    marks = _marks(bits, kinds)
    by_mark: dict[int, tuple[list[int], list[int]]] = defaultdict(lambda: ([], []))
    for lot, mark in marks.items():
        if lot not in bits:
            by_mark[mark][0].append(lot)
    for place, mark in _marks_of_places(bits, marks).items():
        by_mark[mark][1].append(place)
    return _in_order(by_mark, bad, good)


def _refuse_what_cannot_be(bad: Sequence[Lot], named: Sequence[Lot]) -> None:
    if not bad:
        raise InvalidInput(field="bad", value="", problem="Name one bad lot or more.")
    for lot in named:
        if named.count(lot) > 1:
            raise InvalidInput(field="good", value=lot.code, problem="Name each lot once, as bad or as good.")


def _marks(bits: Mapping[int, int], kinds: Collection[Link.Kind]) -> dict[int, int]:
    """Return for every lot on the way back, and for those named, in which of the named it is."""
    marks: dict[int, int] = dict(bits)
    steps = reached_now(list(bits), Direction.BACK, kinds).steps
    for step in sorted(steps, key=lambda step: step.child, reverse=True):
        marks[step.parent] = marks.get(step.parent, 0) | marks[step.child]
    return marks


def _marks_of_places(bits: Mapping[int, int], marks: Mapping[int, int]) -> dict[int, int]:
    """Return for every place in which of the named lots is something that lay there and went on from there."""
    kinds = dict(Location.objects.values_list("pk", "kind"))
    went_into = _went_into(marks)
    at_places: dict[tuple[int, int], int] = defaultdict(int)
    moves: set[tuple[int, int, int]] = set()
    for event, lot, from_, to in _postings_of(marks):
        if kinds[to] == Location.Kind.TRANSFORMED:
            at_places[lot, from_] |= went_into.get((event, lot), 0)
        else:
            moves.add((lot, from_, to))
            at_places[lot, to] |= bits.get(lot, 0)
    while sum(_moved_back(at_places, one) for one in moves):
        pass
    found: dict[int, int] = defaultdict(int)
    for (_, place), mark in at_places.items():
        if kinds[place] in PLACES and mark:
            found[place] |= mark
    return dict(found)


def _moved_back(at_places: dict[tuple[int, int], int], move: tuple[int, int, int]) -> bool:
    """What went on from where a lot was moved to went on from where it came from too; return whether that is news."""
    lot, from_, to = move
    before = at_places[lot, from_]
    at_places[lot, from_] = before | at_places[lot, to]
    return at_places[lot, from_] != before


def _went_into(marks: Mapping[int, int]) -> dict[tuple[int, int], int]:
    """Return for an event and a lot that it used in which of the named lots what it made is."""
    found: dict[tuple[int, int], int] = defaultdict(int)
    for batch in portions(marks):
        rows = Link.objects.filter(parent__in=batch, reversed_by=None)
        for event, parent, child in rows.values_list("event", "parent", "child"):
            found[event, parent] |= marks.get(child, 0)
    return found


def _postings_of(marks: Mapping[int, int]) -> Iterator[tuple[int, int, int, int]]:
    """Yield what moved of the lots: event, lot, from where and where to. What was reversed never moved."""
    for batch in portions(marks):
        rows = Posting.objects.filter(lot__in=batch, event__reversed_by=None).exclude(event__kind=Event.Kind.REVERSE)
        yield from rows.values_list("event", "lot", "from_location", "to_location").order_by()


def _in_order(
    by_mark: Mapping[int, tuple[list[int], list[int]]], bad: Sequence[Lot], good: Sequence[Lot]
) -> list[Suspect]:
    lots = Lot.objects.select_related("material", "supplier").in_bulk(
        [key for keys, _ in by_mark.values() for key in keys]
    )
    places = Location.objects.in_bulk([key for _, keys in by_mark.values() for key in keys])
    found = [
        _suspect(mark, [lots[key] for key in sorted(keys)], [places[key] for key in sorted(where)], bad, good)
        for mark, (keys, where) in by_mark.items()
    ]
    covering = [one for one in found if one.coverage.bad]
    return sorted(covering, key=lambda one: (one.coverage.good - one.coverage.bad, one.probability, -len(one.lots)))


def _suspect(
    mark: int, lots: Sequence[Lot], places: Sequence[Location], bad: Sequence[Lot], good: Sequence[Lot]
) -> Suspect:
    named = list(enumerate([*bad, *good]))
    held = {lot.pk for place, lot in named if mark >> place & 1}
    coverage = Coverage(sum(lot.pk in held for lot in bad), len(bad), sum(lot.pk in held for lot in good), len(good))
    return Suspect(
        tuple(lots),
        tuple(places),
        coverage,
        chance(coverage),
        tuple(lot for lot in bad if lot.pk not in held),
        tuple(lot for lot in good if lot.pk in held),
    )
