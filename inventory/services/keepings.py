"""Keepings: when each part of a lot crosses a limit is worked out once something about it changes, and then only read.

Whoever knows of a limit says here what it depends on, from any app. The database notes in `KeepingNews` which lots and
places have news, in the transaction that made them; `work_off` works those out anew.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

import numpy as np
from django.db import transaction

from brewery.kernel.database.locks import take_turn
from brewery.kernel.database.sets import AT_ONCE, portions
from brewery.science.crossings import FAR_MS, UNKNOWN, Clock, Floats, Legs, clipped, crossings, spent, tabled
from inventory.models import Balance, Keeping, KeepingNews, Location, LogisticUnit, Lot, Material
from inventory.queries.paths import MANY, from_ms, packed, paths_of

_TURN = 1
"""Two that worked off at once could write what the slower one read before the quicker one's news."""


class KeptLot(NamedTuple):
    """What a rule is told of a lot."""

    pk: int
    made_at: datetime
    material: int
    material_name: str
    best_before: date | None


class Yardstick(NamedTuple):
    """A limit as a multiple of what was spent between two moments, in ms, if that was so much at the least."""

    start_ms: int
    end_ms: int
    times: float
    least: float


class Course(NamedTuple):
    """What a lot has to spend from a moment on until it crosses; NaN where nobody knows, infinite for never.

    `packs` says from when on, in ms, what its rate is multiplied by. A yardstick counts before `limit`, if it holds.
    """

    since_ms: int
    limit: float
    packs: Sequence[tuple[int, float]] = ((0, 1.0),)
    yardstick: Yardstick | None = None


@dataclass(frozen=True)
class KeepingRule:
    """One limit: of which kinds of material, by which rate per day at a temperature, and how far each lot may go."""

    name: str
    label: str
    kinds: Collection[Material.Kind]
    law: Callable[[], Callable[[float], float]]
    courses: Callable[[Sequence[KeptLot]], Mapping[int, Course]]


_rules: dict[str, KeepingRule] = {}


def keep_rule(rule: KeepingRule) -> None:
    """From now on lots are held to this rule. Raises ValueError for a name that is taken."""
    if rule.name in _rules:
        raise ValueError(f"Two rules of keeping are called {rule.name!r}.")
    _rules[rule.name] = rule


def keeping_rules() -> Mapping[str, KeepingRule]:
    """Return the rules there are, by name."""
    return _rules


Part = tuple[int, int, str]
"""The key of a lot, that of a location, and the name of a rule."""
Crossing = tuple[datetime | None, bool]
"""The moment, or None for never, and whether anybody can tell."""


def work_off() -> int:
    """What has news is worked out anew, and the news are gone; returns how many keepings were changed."""
    if not KeepingNews.objects.exists():
        return 0
    with transaction.atomic():
        take_turn(_TURN)
        news = list(KeepingNews.objects.values_list("pk", "lot", "location"))
        lots = {lot for _, lot, _ in news if lot} | _lots_in({place for _, _, place in news if place})
        changed = sum(_write(some) for some in portions(sorted(lots), MANY))
        for keys in portions((key for key, _, _ in news), AT_ONCE):
            KeepingNews.objects.filter(pk__in=keys).delete()
        return changed


def work_out_all() -> int:
    """Every keeping is as the record says now; returns how many were not, which only a changed setting explains."""
    work_off()
    with transaction.atomic():
        take_turn(_TURN)
        of_parts = Balance.objects.filter(quantity_micro__gt=0, location__kind__in=Location.ON_HAND)
        held = set(of_parts.filter(lot__material__kind__in=_kinds()).values_list("lot", flat=True))
        kept = set(Keeping.objects.values_list("lot", flat=True))
        return sum(_write(some) for some in portions(sorted(held | kept), MANY))


def _kinds() -> set[Material.Kind]:
    return {kind for rule in _rules.values() for kind in rule.kinds}


def _lots_in(places: set[int]) -> set[int]:
    """Return the lots that came through a place, or through a pallet that stands there, and of which some is left."""
    if not places:
        return set()
    pallets = LogisticUnit.objects.filter(stands_in__in=places).values_list("location", flat=True)
    through = Lot.objects.filter(postings__to_location__in=[*places, *pallets], material__kind__in=_kinds())
    held = Balance.objects.filter(quantity_micro__gt=0, location__kind__in=Location.ON_HAND)
    return set(through.filter(pk__in=held.values("lot")).values_list("pk", flat=True).distinct())


def _write(lots: Sequence[int]) -> int:
    """Make the keepings of these lots what the record says; return how many rows were not so."""
    wanted = crossings_of(lots)
    rows = Keeping.objects.filter(lot__in=lots)
    found = {(row.lot_id, row.location_id, row.rule): row for row in rows}
    gone = [row.pk for part, row in found.items() if part not in wanted]
    for keys in portions(gone, AT_ONCE):
        Keeping.objects.filter(pk__in=keys).delete()
    changed = [
        Keeping(lot_id=part[0], location_id=part[1], rule=part[2], crosses_at=moment, is_known=is_known)
        for part, (moment, is_known) in wanted.items()
        if part not in found or (found[part].crosses_at, found[part].is_known) != (moment, is_known)
    ]
    Keeping.objects.bulk_create(
        changed,
        batch_size=AT_ONCE,
        update_conflicts=True,
        unique_fields=("lot", "location", "rule"),
        update_fields=("crosses_at", "is_known"),
    )
    return len(gone) + len(changed)


def crossings_of(lots: Sequence[int]) -> dict[Part, Crossing]:
    """Return when each part of these lots crosses each limit that it is held to, as the record stands."""
    kept = {lot.pk: lot for lot in _kept(lots)}
    found: dict[Part, Crossing] = {}
    for rule in _rules.values():
        parts = _parts(list(kept), rule)
        if parts:
            courses = rule.courses([kept[lot] for lot in dict.fromkeys(lot for lot, _ in parts)])
            found |= _crossed(rule, [part for part in parts if part[0] in courses], courses)
    return found


def _kept(lots: Sequence[int]) -> Iterator[KeptLot]:
    columns = ("pk", "made_at", "material", "material__name", "best_before")
    rows = Lot.objects.filter(pk__in=lots, material__kind__in=_kinds()).values_list(*columns)
    return (KeptLot(*row) for row in rows)


def _parts(lots: Sequence[int], rule: KeepingRule) -> list[tuple[int, int]]:
    rows = Balance.objects.filter(
        lot__in=lots,
        lot__material__kind__in=rule.kinds,
        location__kind__in=Location.ON_HAND,
        quantity_micro__gt=0,
    )
    return list(rows.order_by("lot", "location").values_list("lot", "location"))


def _crossed(
    rule: KeepingRule, parts: Sequence[tuple[int, int]], courses: Mapping[int, Course]
) -> Iterator[tuple[Part, Crossing]]:
    if not parts:
        return
    of_parts = [courses[lot] for lot, _ in parts]
    paths = paths_of(parts)
    clock = Clock(paths.warmths, tabled(rule.law()))
    legs = packed(paths.legs, [course.packs for course in of_parts])
    since = np.array([course.since_ms for course in of_parts], dtype=np.int64)
    until = np.full(len(parts), FAR_MS, dtype=np.int64)
    moments = crossings(_limits(of_parts, legs, clock), clipped(legs, since, until), clock)
    for (lot, place), moment in zip(parts, moments.tolist(), strict=True):
        yield (lot, place, rule.name), _as_crossing(moment)


def _limits(courses: Sequence[Course], legs: Legs, clock: Clock) -> Floats:
    """Return what each may spend, in what the clock adds up: by its yardstick where that holds, or as it was given."""
    limits = np.array([course.limit for course in courses], dtype=np.float64)
    measured = [at for at, course in enumerate(courses) if course.yardstick]
    if not measured:
        return limits
    sticks = {at: stick for at in measured if (stick := courses[at].yardstick)}
    start, end = (np.zeros(len(courses), dtype=np.int64) for _ in range(2))
    times, least = np.full(len(courses), UNKNOWN), np.full(len(courses), UNKNOWN)
    for at, stick in sticks.items():
        start[at], end[at], times[at], least[at] = stick
    went = spent(clipped(legs, start, end), clock, len(courses))
    with np.errstate(invalid="ignore"):
        return np.where(went >= least, times * went, limits)


def _as_crossing(moment: float) -> Crossing:
    if np.isnan(moment):
        return None, False
    return (from_ms(moment), True) if moment < FAR_MS else (None, True)


def crossed_by(rule: str, moment: datetime) -> Iterable[Keeping]:
    """Return the parts that have crossed the limit of a rule by a moment, first those that did so first."""
    rows = Keeping.objects.filter(rule=rule, crosses_at__lte=moment).order_by("crosses_at", "pk")
    return rows.select_related("lot__material", "location")
