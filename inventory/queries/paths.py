"""Paths: where parts of lots have lain and how warm, for many at once, as `stays` tells it of one.

Nothing is asked of the database for each part: the movements of all of them are put in order once, and every part is
followed back through them a step at a time, all parts together.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from brewery.kernel.database.sets import portions
from brewery.science.crossings import FAR_MS, Ints, Legs, Warmths
from inventory.models import Event, Location, LogisticUnit, Posting, Warmth

MANY = 5000
"""How many keys one of these questions takes; SQLite takes 32,766."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MS = timedelta(milliseconds=1)
_MILLI = 1000


def in_ms(moment: datetime) -> int:
    """Return a moment in whole milliseconds since 1970."""
    return (moment - _EPOCH) // _MS


def from_ms(moment: float) -> datetime:
    """Return the moment of so many milliseconds since 1970."""
    return _EPOCH + timedelta(milliseconds=moment)


@dataclass(frozen=True, slots=True)
class Paths:
    """The legs of parts in the order in which these were given, and how warm the places of the legs were kept."""

    legs: Legs
    warmths: Warmths


def paths_of(parts: Sequence[tuple[int, int]]) -> Paths:
    """Return where each part lay: it is the key of a lot and that of the location it lies in now, and stays in."""
    moves = _moves(sorted({lot for lot, _ in parts}))
    # After the movements, so that every place they name is among them.
    places = dict(Location.objects.values_list("pk", "nominal_milli_c"))
    numbers = np.array(sorted(places), dtype=np.int64)
    legs = _followed(parts, moves, numbers)
    kept_in = _kept_in(numbers)[_outside_of_work(legs.place, numbers)]
    used, number = np.unique(kept_in, return_inverse=True)
    warmths = _warmths([int(numbers[place]) for place in used], places)
    return Paths(Legs(legs.thing, number.astype(np.int64), legs.start_ms, legs.end_ms, legs.protection), warmths)


def _followed(parts: Sequence[tuple[int, int]], moves: Ints, places: Ints) -> Legs:
    """Follow every part back from where it lies to where its lot came from."""
    lots = np.unique(np.array([lot for lot, _ in parts], dtype=np.int64))
    lot, to = np.searchsorted(lots, moves[0]), np.searchsorted(places, moves[2])
    origin, at_ms = np.searchsorted(places, moves[1]), moves[3]
    inside = _is_inside(places)
    count = len(lot) + 1
    arrivals = lot * len(places) + to
    order = np.lexsort((np.arange(len(lot)), arrivals))
    keys, groups = _keys(arrivals[order], order, count)

    thing = np.arange(len(parts))
    of_lot = np.searchsorted(lots, np.array([lot for lot, _ in parts], dtype=np.int64))
    place = np.searchsorted(places, np.array([place for _, place in parts], dtype=np.int64))
    before, end = np.full(len(parts), count - 1), np.full(len(parts), FAR_MS)
    steps: list[tuple[Ints, Ints, Ints, Ints]] = []
    while len(thing):
        group = np.searchsorted(groups, of_lot * len(places) + place)
        at = np.searchsorted(keys, group * count + before) - 1
        came = (at >= 0) & (group < len(groups))
        came[came] &= arrivals[order[at[came]]] == (of_lot * len(places) + place)[came]
        thing, of_lot, place, end, move = thing[came], of_lot[came], place[came], end[came], order[at[came]]
        steps.append((thing, place, at_ms[move], end))
        on = inside[origin[move]]
        thing, of_lot, place, end, before = thing[on], of_lot[on], origin[move][on], at_ms[move][on], move[on]
    return _in_order(steps)


def _keys(arrivals: Ints, order: Ints, count: int) -> tuple[Ints, Ints]:
    """Return for each arrival, in order, a number that grows with the lot and place and then with time."""
    groups, number = np.unique(arrivals, return_inverse=True)
    return number * count + order, groups


def _in_order(steps: Sequence[tuple[Ints, Ints, Ints, Ints]]) -> Legs:
    """Put the steps back into the order of parts and time: the last step of each was its first leg."""
    whole = [np.concatenate([step[at] for step in reversed(steps)] or [np.empty(0, np.int64)]) for at in range(4)]
    order = np.argsort(whole[0], kind="stable")
    thing, place, start, end = (column[order].astype(np.int64) for column in whole)
    return Legs(thing, place, start, end, np.ones(len(thing)))


def _moves(lots: Sequence[int]) -> Ints:
    """Return lot, origin, target and moment of all that moved the lots, in order; what was reversed is left out."""
    rows = [row for some in portions(lots, MANY) for row in _moves_of(some)]
    return np.array(rows, dtype=np.int64).reshape(-1, 4).T


def _moves_of(lots: Sequence[int]) -> Iterator[tuple[int, int, int, int]]:
    rows = Posting.objects.filter(lot__in=lots, event__reversed_by=None).exclude(event__kind=Event.Kind.REVERSE)
    rows = rows.order_by("lot", "event__happened_at", "pk")
    columns = ("lot", "from_location", "to_location", "event__happened_at")
    for lot, origin, target, moment in rows.values_list(*columns).iterator(chunk_size=MANY):
        yield lot, origin, target, in_ms(moment)


def _is_inside(places: Ints) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    inside = set(Location.objects.inside().values_list("pk", flat=True))
    return np.array([int(place) in inside for place in places], dtype=np.bool_)


def _outside_of_work(place: Ints, places: Ints) -> Ints:
    """Return where each leg counts: what was drawn for a brew and came back, as where it came back to, the next leg."""
    work = np.array(sorted(Location.objects.filter(kind=Location.Kind.PROCESS).values_list("pk", flat=True)))
    is_work = np.isin(places, work)
    found = place.copy()
    # Nothing on hand lies in a brew, so that every part ends elsewhere, and the last row is no work.
    while len(rows := np.flatnonzero(is_work[found])):
        found[rows] = found[rows + 1]
    return found


def _kept_in(places: Ints) -> Ints:
    """Return by the number of each place the number of the place whose warmth it has: a pallet's is where it stands."""
    stands_in = dict(LogisticUnit.objects.values_list("location", "stands_in"))
    return np.searchsorted(places, np.array([stands_in.get(int(place), int(place)) for place in places]))


def _warmths(places: Sequence[int], nominal: dict[int, int | None]) -> Warmths:
    number = {place: index for index, place in enumerate(places)}
    told: dict[tuple[int, int], float] = {(number[place], 0): _celsius(nominal[place]) for place in places}
    for some in portions(places, MANY):
        rows = Warmth.objects.filter(location__in=some).order_by("since", "pk")
        for place, since, milli_c in rows.values_list("location", "since", "milli_c").iterator(chunk_size=MANY):
            told[number[place], max(0, in_ms(since))] = _celsius(milli_c)
    rows_in_order = sorted(told)
    return Warmths(
        np.array([place for place, _ in rows_in_order], dtype=np.int64),
        np.array([since for _, since in rows_in_order], dtype=np.int64),
        np.array([told[row] for row in rows_in_order], dtype=np.float64),
    )


def _celsius(milli_c: int | None) -> float:
    return float("nan") if milli_c is None else milli_c / _MILLI


def packed(legs: Legs, packs: Sequence[Sequence[tuple[int, float]]]) -> Legs:
    """Return the legs with the protection of each thing's pack: from when on, in ms, the rate is multiplied by what.

    The first of each thing counts from the beginning. A leg is cut where a pack was opened or sealed.
    """
    first = np.array([told[0][1] for told in packs], dtype=np.float64)
    protection = first[legs.thing] if len(packs) else legs.protection
    changed = np.array([len(told) > 1 for told in packs], dtype=np.bool_)
    if not changed.any():
        return Legs(legs.thing, legs.place, legs.start_ms, legs.end_ms, protection)
    cut = changed[legs.thing]
    pieces = [piece for row in np.flatnonzero(cut) for piece in _pieces(legs, int(row), packs[int(legs.thing[row])])]
    columns = [
        np.concatenate([column[~cut], np.array([piece[at] for piece in pieces], dtype=column.dtype)])
        for at, column in enumerate((legs.thing, legs.place, legs.start_ms, legs.end_ms, protection))
    ]
    order = np.lexsort((columns[2], columns[0]))
    return Legs(*(column[order] for column in columns))


def _pieces(legs: Legs, row: int, packs: Sequence[tuple[int, float]]) -> Iterator[tuple[int, int, int, int, float]]:
    start, end = int(legs.start_ms[row]), int(legs.end_ms[row])
    ends = [*(since for since, _ in packs[1:]), FAR_MS]
    for at, ((since, factor), until) in enumerate(zip(packs, ends, strict=True)):
        begun, over = max(start, since) if at else start, min(end, until)
        if begun < over:
            yield int(legs.thing[row]), int(legs.place[row]), begun, over, factor
