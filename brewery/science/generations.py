"""Generations: how often yeast has gone from pitching to harvest. A propagated culture, pitched first, is 1.

Limits belong to a strain: breweries hold 5 to 10 cycles or fewer, formerly 20 and more, and fewer in strong wort
(Quain, Generation number, ebrary.net 83041). Some count from 0: then say so where figures come in.
"""

from collections.abc import Collection

from brewery.science.ranges import OutOfRange

FIRST = 1


def blend_generation(parts: Collection[int]) -> int:
    """Return the generation of several yeasts put together: that of the oldest (common practice, no source).

    Raises OutOfRange for none, and below 1.
    """
    if not parts or min(parts) < FIRST:
        raise OutOfRange("parts", list(parts), "Name the generation of each yeast, from 1.")
    return max(parts)


def crop_generation(pitched: Collection[int]) -> int:
    """Return the generation of the crop of a fermentation: one more than the oldest yeast pitched.

    Jars of one crop share it. Without yeast of a crop before, it is the culture's own, 1. Raises OutOfRange below 1.
    """
    return blend_generation(pitched) + 1 if pitched else FIRST
