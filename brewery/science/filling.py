"""Filling: what left each tank, what of it is in the packages, and how drawn material is shared out. Whole numbers."""

from collections.abc import Sequence

from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO


def left_by_gauges(start_micro: int, end_micro: int) -> int:
    """Return what left a tank between two gauges. Raises OutOfRange where it holds more at the end, or as much."""
    if end_micro < 0:
        raise OutOfRange("gauge_end", end_micro / MICRO, "A gauge is never below zero: read it again.")
    if end_micro >= start_micro:
        raise OutOfRange("gauge_end", end_micro / MICRO, "Nothing left the tank by these gauges: read both again.")
    return start_micro - end_micro


def shared_out(whole: int, weights: Sequence[int]) -> list[int]:
    """Return whole numbers that add up to `whole` and lie by the weights, each less than one from its exact share.

    Where `whole` is no more than the weights together, no part is more than its weight.
    """
    total, reached, given, parts = sum(weights), 0, 0, []
    for weight in weights:
        reached += weight
        up_to = whole * reached // total
        parts.append(up_to - given)
        given = up_to
    return parts


def share_of_drawn(lying_micro: int, filled: int, still_to_come: int, *, is_counted: bool) -> int:
    """Return what a fill takes of a drawn lot: by count, and the last fill takes the rest. Whole ones where counted."""
    if still_to_come == 0:
        return lying_micro
    share = lying_micro * filled // (filled + still_to_come)
    return share // MICRO * MICRO if is_counted else share
