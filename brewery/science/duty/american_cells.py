"""The cells of a brewer's report: barrels of each kind of movement in each column, from the days' rounded sums."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from itertools import chain

from brewery.science.duty.barrels import day_sums
from brewery.science.duty.movements import ADDITIONS, BETWEEN_PLACES, Kind, Movement, Place

ZERO = Decimal("0.00")
TAXED = frozenset({Kind.REMOVED, Kind.REMOVED_TO_TAVERN})
CREDITED = frozenset({Kind.RETURNED})
ARRIVES_IN = {
    Kind.TO_CELLAR: Place.CELLAR,
    Kind.TO_RACKING: Place.RACKING_BULK,
    Kind.TO_BOTTLING: Place.BOTTLING_BULK,
    Kind.RACKED: Place.RACKING_KEG,
    Kind.BOTTLED: Place.BOTTLING_CASE,
}

Cells = Mapping[Place, Decimal]


def cells(movements: Sequence[Movement], kinds: Iterable[Kind]) -> dict[Place, Decimal]:
    """Return the barrels of some kinds by the column that they arrive in or leave from: sums of the days' sums.

    What is taxed is rounded together, as the law wants it; the tavern's share is what the day's removals leave of that
    sum. So lines 14 and 15 are together what the tax is paid on.
    """
    found = dict.fromkeys(Place, ZERO)
    for at, barrels in chain.from_iterable(_sums(movements, kind).items() for kind in kinds):
        found[at] += barrels
    return found


def _sums(movements: Sequence[Movement], kind: Kind) -> dict[Place, Decimal]:
    if kind is not Kind.REMOVED_TO_TAVERN:
        return _by_place(movements, {kind})
    together, removed = _by_place(movements, TAXED), _by_place(movements, {Kind.REMOVED})
    return {at: barrels - removed.get(at, ZERO) for at, barrels in together.items()}


def _by_place(movements: Sequence[Movement], kinds: Iterable[Kind]) -> dict[Place, Decimal]:
    found = dict.fromkeys(Place, ZERO)
    wanted = frozenset(kinds)
    for (_, at), barrels in day_sums(movement for movement in movements if movement.kind in wanted).items():
        found[at] += barrels
    return found


def arrived(movements: Sequence[Movement], kind: Kind) -> dict[Place, Decimal]:
    """Return the barrels of a kind by the column that they arrive in."""
    left = cells(movements, (kind,))
    if kind not in ARRIVES_IN:
        return left
    return dict.fromkeys(Place, ZERO) | {ARRIVES_IN[kind]: sum(left.values(), ZERO)}


def net_taxed(movements: Sequence[Movement]) -> Decimal:
    """Return the barrels that tax is paid on: removed for consumption or sale, less returned to the same brewery."""
    return sum(cells(movements, TAXED).values(), ZERO) - sum(cells(movements, CREDITED).values(), ZERO)


def closing(opening: Cells, movements: Sequence[Movement]) -> dict[Place, Decimal]:
    """Return what is on hand in each column when all that is recorded has moved."""
    end = dict.fromkeys(Place, ZERO) | dict(opening)
    for kind in Kind:
        gains = arrived(movements, kind) if kind in ADDITIONS | BETWEEN_PLACES else {}
        losses = cells(movements, (kind,)) if kind not in ADDITIONS else {}
        for at in Place:
            end[at] += gains.get(at, ZERO) - losses.get(at, ZERO)
    return end
