"""Traces: everything a lot is made of, or everything it went into, with how much and where it is now."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from inventory.models import Link, Lot
from traceability.queries.graph import ALL_KINDS, Direction, Lying, Reached, Step, reached_now
from traceability.queries.past import reached_until
from traceability.queries.shares import amounts_back, amounts_forward


@dataclass(frozen=True)
class Trace:
    """The answer to one trace, by ids.

    `amounts` says, for a trace back, how much of each ancestor is in the subject, in the ancestor's micro-units; for a
    trace forward, how much of the subject is in the whole of each descendant, in the subject's. `lying` says where
    each lot reached is, the subject among them; `missing` what counts did not find of it.
    """

    subject: int
    subject_micro: float
    direction: Direction
    kinds: frozenset[Link.Kind]
    as_of: datetime | None
    steps: list[Step]
    amounts: dict[int, float]
    totals: dict[int, int]
    missing: dict[int, int]
    lying: dict[int, list[Lying]]

    @property
    def reached(self) -> list[int]:
        """The ids of all lots reached, in order of time, without the subject."""
        return sorted(self.amounts.keys() - {self.subject})


def trace(
    lot: Lot | int,
    direction: Direction,
    *,
    kinds: Collection[Link.Kind] = ALL_KINDS,
    as_of: datetime | None = None,
    quantity_micro: int | None = None,
) -> Trace:
    """Trace a lot, or a quantity of it, back or forward over links of these kinds.

    With `as_of`, as it was at that moment by what is known today: a mistake that was reversed since does not count.
    """
    subject = lot if isinstance(lot, int) else lot.pk
    steps, (totals, missing), lying = _reached([subject], direction, kinds, as_of)
    whole = float(totals.get(subject, 0) if quantity_micro is None else quantity_micro)
    return Trace(
        subject=subject,
        subject_micro=whole,
        direction=direction,
        kinds=frozenset(kinds),
        as_of=as_of,
        steps=steps,
        amounts=_SPREADS[direction]({subject: whole}, steps, totals),
        totals=totals,
        missing=missing,
        lying=_by_lot(lying),
    )


@dataclass(frozen=True)
class Spread:
    """What is reached from several lots at once, one way; figures as those of a Trace, of all the starts together."""

    direction: Direction
    steps: list[Step]
    amounts: dict[int, float]
    totals: dict[int, int]
    lying: dict[int, list[Lying]]


def spread_from(
    starts: Mapping[int, int],
    direction: Direction,
    *,
    kinds: Collection[Link.Kind] = ALL_KINDS,
    as_of: datetime | None = None,
) -> Spread:
    """Trace these quantities of several lots, in micro-units, over links of these kinds: as few questions as of one."""
    steps, (totals, _), lying = _reached(starts, direction, kinds, as_of)
    whole = {lot: float(quantity) for lot, quantity in starts.items()}
    return Spread(direction, steps, _SPREADS[direction](whole, steps, totals), totals, _by_lot(lying))


_SPREADS = {Direction.BACK: amounts_back, Direction.FORWARD: amounts_forward}


def _reached(
    starts: Collection[int], direction: Direction, kinds: Collection[Link.Kind], as_of: datetime | None
) -> Reached:
    return reached_until(as_of, starts, direction, kinds) if as_of else reached_now(starts, direction, kinds)


def _by_lot(lying: Iterable[Lying]) -> dict[int, list[Lying]]:
    places: dict[int, list[Lying]] = defaultdict(list)
    for row in lying:
        places[row.lot].append(row)
    return dict(places)
