"""Shares: how much of one lot is in another, by plain arithmetic in one pass over the links.

A parent is always older than its child, so the order of ids is an order in which every lot is complete before it is
used: no sorting by depth, no paths. Figures are floats, true to about one part in 10^12.
"""

from collections.abc import Iterable, Mapping
from operator import itemgetter

from traceability.queries.graph import Step

_PARENT, _CHILD = (itemgetter(Step._fields.index(name)) for name in ("parent", "child"))


def amounts_back(starts: Mapping[int, float], steps: Iterable[Step], totals: Mapping[int, int]) -> dict[int, float]:
    """Return how much of every ancestor, in its own micro-units, is in the given quantities of the start lots.

    `totals` has the total of every child among `steps`.
    """
    amounts: dict[int, float] = dict(starts)
    for parent, child, _, quantity in sorted(steps, key=_CHILD, reverse=True):
        if parent not in starts:
            amounts[parent] = amounts.get(parent, 0.0) + quantity * amounts[child] / totals[child]
    return amounts


def amounts_forward(starts: Mapping[int, float], steps: Iterable[Step], totals: Mapping[int, int]) -> dict[int, float]:
    """Return how much of the start lots, in their micro-units, is in the whole of every descendant.

    `totals` has the total of every parent among `steps`.
    """
    amounts: dict[int, float] = dict(starts)
    for parent, child, _, quantity in sorted(steps, key=_PARENT):
        if child not in starts:
            amounts[child] = amounts.get(child, 0.0) + amounts[parent] * quantity / totals[parent]
    return amounts
