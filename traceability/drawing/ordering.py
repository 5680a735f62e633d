"""The order within columns: links cross as rarely as some sweeps can make it.

Each slot moves to the mean place of its neighbours in the column before, then in the column after (the barycentre
method of Sugiyama, Tagawa and Toda, 1981). The best order seen is kept. Ties keep their order, so nothing depends on
chance.
"""

import itertools
from bisect import bisect_right, insort

from traceability.drawing.lanes import Lanes

MOST_SWEEPS = 16
PATIENCE = 4
"""Sweeps that bring nothing before it is given up."""


def ordered(lanes: Lanes) -> list[list[int]]:
    """Return the slots of every column from top to bottom."""
    order = [list(column) for column in lanes.columns]
    best, fewest, patience = [list(column) for column in order], crossings(order, lanes), PATIENCE
    for sweep in range(MOST_SWEEPS):
        if not fewest or not patience:
            break
        _sweep(order, lanes, is_rightward=sweep % 2 == 0)
        found = crossings(order, lanes)
        patience -= 1
        if found < fewest:
            best, fewest, patience = [list(column) for column in order], found, PATIENCE
    return best


def crossings(order: list[list[int]], lanes: Lanes) -> int:
    """Return how many pairs of links cross between neighbouring columns."""
    total = 0
    for left, right in itertools.pairwise(order):
        at = {slot: place for place, slot in enumerate(right)}
        seen: list[int] = []
        for slot in left:
            ends = sorted(at[after] for after in lanes.after[slot])
            total += sum(len(seen) - bisect_right(seen, end) for end in ends)
            for end in ends:
                insort(seen, end)
    return total


def _sweep(order: list[list[int]], lanes: Lanes, *, is_rightward: bool) -> None:
    """Sort every column by the places of the neighbours in the column that was sorted before it."""
    neighbours = lanes.before if is_rightward else lanes.after
    walk = range(1, len(order)) if is_rightward else range(len(order) - 2, -1, -1)
    for column in walk:
        fixed = order[column - 1 if is_rightward else column + 1]
        at = {slot: place / len(fixed) for place, slot in enumerate(fixed)}
        own = {slot: place / len(order[column]) for place, slot in enumerate(order[column])}
        middle = {
            slot: sum(at[near] for near in neighbours[slot]) / len(neighbours[slot]) if neighbours[slot] else place
            for slot, place in own.items()
        }
        order[column].sort(key=middle.__getitem__)
