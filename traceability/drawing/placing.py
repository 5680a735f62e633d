"""Where things stand: heights within columns so that links run level, and the width of the gaps between columns."""

import itertools
from dataclasses import dataclass

from traceability.drawing.lanes import Lanes

BOX_WIDTH, BOX_HEIGHT = 212, 64
BOX_GAP, LANE_HEIGHT, LANE_GAP = 20, 8, 4
NARROWEST_GAP, WIDEST_GAP, GAP_PER_LINK = 60, 170, 3
SWEEPS = 10
STRAIGHTNESS = 8
"""How much more a lane's own continuation counts than a box: links should run straight where they pass."""


@dataclass(frozen=True)
class Places:
    """`middles`: the vertical middle of every slot; `lefts`: the left edge of every column. Both start near 0."""

    middles: list[float]
    lefts: list[int]


def places_of(lanes: Lanes, order: list[list[int]]) -> Places:
    """Return the places: in every column the given order is kept, and no two boxes touch."""
    middles = [0.0] * len(lanes.nodes)
    for column in order:
        _settle(column, [0.0] * len(column), [1.0] * len(column), lanes, middles)
    for sweep in range(SWEEPS):
        for column in order if sweep % 2 == 0 else reversed(order):
            pulls = [_pull(slot, lanes, middles) for slot in column]
            _settle(column, [wish for wish, _ in pulls], [weight for _, weight in pulls], lanes, middles)
    top = min((middles[slot] - _height(slot, lanes) / 2 for slot in range(len(middles))), default=0.0)
    return Places([middle - top for middle in middles], _lefts(lanes, order))


def _pull(slot: int, lanes: Lanes, middles: list[float]) -> tuple[float, float]:
    """Return where a slot's neighbours would have it, and how strongly."""
    total = weights = 0.0
    for near in (*lanes.before[slot], *lanes.after[slot]):
        weight = STRAIGHTNESS if lanes.nodes[slot] is None and lanes.nodes[near] is None else 1.0
        total += weight * middles[near]
        weights += weight
    return (total / weights, weights) if weights else (middles[slot], 1.0)


def _settle(column: list[int], wishes: list[float], weights: list[float], lanes: Lanes, middles: list[float]) -> None:
    """Give a column the places nearest to its wishes (least squares) that keep order and distance.

    With the distances taken out the places must only not fall, which pooling of neighbours that do solves exactly.
    """
    offsets = [0.0]
    for above, below in itertools.pairwise(column):
        offsets.append(offsets[-1] + _distance(above, below, lanes))
    pools: list[tuple[float, float, int]] = []
    for wish, weight, offset in zip(wishes, weights, offsets, strict=True):
        mean, mass, count = wish - offset, weight, 1
        while pools and pools[-1][0] > mean:
            other, other_mass, other_count = pools.pop()
            mean = (mean * mass + other * other_mass) / (mass + other_mass)
            mass, count = mass + other_mass, count + other_count
        pools.append((mean, mass, count))
    level = [mean for mean, _, count in pools for _ in range(count)]
    for slot, base, offset in zip(column, level, offsets, strict=True):
        middles[slot] = base + offset


def _height(slot: int, lanes: Lanes) -> int:
    return LANE_HEIGHT if lanes.nodes[slot] is None else BOX_HEIGHT


def _distance(above: int, below: int, lanes: Lanes) -> float:
    """Return the least distance of the middles of two slots that follow each other."""
    are_lanes = lanes.nodes[above] is None and lanes.nodes[below] is None
    gap = LANE_GAP if are_lanes else BOX_GAP if None not in (lanes.nodes[above], lanes.nodes[below]) else BOX_GAP / 2
    return (_height(above, lanes) + _height(below, lanes)) / 2 + gap


def _lefts(lanes: Lanes, order: list[list[int]]) -> list[int]:
    """Return the columns' left edges; where many links run between two columns they stand further apart."""
    lefts, left = [], 0
    for column in order:
        lefts.append(left)
        links = sum(len(lanes.after[slot]) for slot in column)
        left += BOX_WIDTH + min(WIDEST_GAP, NARROWEST_GAP + GAP_PER_LINK * links)
    return lefts
