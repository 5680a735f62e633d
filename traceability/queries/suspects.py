"""Suspects: which raw lots, yeasts, tanks, fillings and fillers best explain that some packaged lots are bad.

All lots are traced back at once, and each lot on the way is marked with those that it is in: one pass over the links.
Suspects in exactly the same lots cannot be told apart by the record, and stand together.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import reduce
from operator import or_

from brewery.kernel.database.sets import portions
from brewery.kernel.errors import InvalidInput
from brewery.production.models import PackagingFill
from brewery.science.common_cause import Coverage, chance
from inventory.models import Event, Link, Location, Lot, Posting
from traceability.queries.graph import ALL_KINDS, Direction, reached_now

PLACES = (*Location.TANKS, Location.Kind.BRINK, Location.Kind.SILO, Location.Kind.PROCESS)
"""The places that something can be caught in: a run's place stands for its filling, a brew's for its brewhouse day."""


@dataclass(frozen=True)
class Suspect:
    """Lots, places and fillers that are in the same bad and good lots, how many of each, and the chance of that.

    `lay_there` names by place the lots that passed it on their way into the bad ones; `fillers` are lines by name.
    `missed` are the bad lots that it is not in, `also_in` the good ones that it is.
    """

    lots: tuple[Lot, ...]
    lay_there: Mapping[Location, tuple[Lot, ...]]
    fillers: tuple[str, ...]
    coverage: Coverage
    probability: Fraction
    missed: tuple[Lot, ...]
    also_in: tuple[Lot, ...]

    @property
    def places(self) -> tuple[Location, ...]:
        """The places, in the order in which they were entered."""
        return tuple(self.lay_there)


@dataclass
class _Alike:
    """Keys of what is in the same named lots; of each place with the lots that lay there."""

    lots: list[int] = field(default_factory=list)
    places: dict[int, set[int]] = field(default_factory=dict)
    fillers: list[str] = field(default_factory=list)


def suspects(bad: Sequence[Lot], good: Sequence[Lot], kinds: Collection[Link.Kind] = ALL_KINDS) -> list[Suspect]:
    """Return the suspects, the best explanation first.

    Raises InvalidInput without a bad lot, with one lot alone, or for one named twice.

    Ordered by how many bad lots are explained and good ones spared, then by the chance; the judgement is a person's.
    """
    named = [*bad, *good]
    _refuse_what_cannot_be(bad, named)
    bits = {lot.pk: 1 << place for place, lot in enumerate(named)}
    marks = _marks(bits, kinds)
    by_mark: dict[int, _Alike] = defaultdict(_Alike)
    for lot, mark in marks.items():
        if lot not in bits:
            by_mark[mark].lots.append(lot)
    for place, lay_there in _marks_of_places(bits, marks).items():
        by_mark[_all_of(lay_there.values())].places[place] = set(lay_there)
    for filler, mark in _marks_of_fillers(marks).items():
        by_mark[mark].fillers.append(filler)
    return _in_order(by_mark, bad, good)


def _refuse_what_cannot_be(bad: Sequence[Lot], named: Sequence[Lot]) -> None:
    if not bad:
        raise InvalidInput(field="bad", value="", problem="Name one bad lot or more.")
    if len(named) == 1:
        alone = "Name another bad lot, or a good one to compare with: one alone is explained by all that is in it."
        raise InvalidInput(field="bad", value=bad[0].code, problem=alone)
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


def _all_of(marks: Iterable[int]) -> int:
    return reduce(or_, marks, 0)


def _marks_of_fillers(marks: Mapping[int, int]) -> dict[str, int]:
    """Return for every line of which a filling is on record in which of the named lots is something it filled."""
    found: dict[str, int] = defaultdict(int)
    for batch in portions(marks):
        fills = PackagingFill.objects.filter(lot__in=batch, event__reversed_by=None).exclude(line="")
        for lot, line in fills.values_list("lot", "line").order_by():
            found[line] |= marks[lot]
    return dict(sorted(found.items()))


def _marks_of_places(bits: Mapping[int, int], marks: Mapping[int, int]) -> dict[int, dict[int, int]]:
    """Return for every place which lots lay there and went on into which of the named lots."""
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
    found: dict[int, dict[int, int]] = defaultdict(dict)
    for (lot, place), mark in at_places.items():
        if kinds[place] in PLACES and mark:
            found[place][lot] = mark
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


def _in_order(by_mark: Mapping[int, _Alike], bad: Sequence[Lot], good: Sequence[Lot]) -> list[Suspect]:
    keys = {key for alike in by_mark.values() for key in (*alike.lots, *set().union(*alike.places.values()))}
    lots = Lot.objects.select_related("material", "supplier").in_bulk(keys)
    places = Location.objects.in_bulk([key for alike in by_mark.values() for key in alike.places])
    found = [_suspect(mark, alike, lots, places, bad, good) for mark, alike in by_mark.items()]
    covering = [one for one in found if one.coverage.bad]
    return sorted(covering, key=lambda one: (one.coverage.good - one.coverage.bad, one.probability, -len(one.lots)))


def _suspect(
    mark: int,
    alike: _Alike,
    lots: Mapping[int, Lot],
    places: Mapping[int, Location],
    bad: Sequence[Lot],
    good: Sequence[Lot],
) -> Suspect:
    named = list(enumerate([*bad, *good]))
    held = {lot.pk for place, lot in named if mark >> place & 1}
    coverage = Coverage(sum(lot.pk in held for lot in bad), len(bad), sum(lot.pk in held for lot in good), len(good))
    return Suspect(
        tuple(lots[key] for key in sorted(alike.lots)),
        {places[key]: tuple(lots[lot] for lot in sorted(alike.places[key])) for key in sorted(alike.places)},
        tuple(alike.fillers),
        coverage,
        chance(coverage),
        tuple(lot for lot in bad if lot.pk not in held),
        tuple(lot for lot in good if lot.pk in held),
    )
