"""Generations: how often yeast has gone from pitching to harvest. A propagated culture, pitched first, is 1.

Limits belong to a strain: breweries hold 5 to 10 cycles or fewer, formerly 20 and more, and fewer in strong wort
(Quain, Generation number, ebrary.net 83041). Some count from 0: then say so where figures come in.
"""

from collections.abc import Collection

from brewery.science.gravity import EXTRACT_PLATO
from brewery.science.ranges import OutOfRange

FIRST = 1


STEWART_LIMITS = ((12, 20), (14, 16), (16, 12), (18, 8))
"""To which °P of wort how many generations: Stewart 2015, as in Quain, Generation number."""


def usual_limit(extract_plato: float) -> int:
    """Return how many generations are usual in wort of so many °P: of the next stronger wort that Stewart names.

    To propose only; a strain has its own. Raises OutOfRange.
    """
    EXTRACT_PLATO.check("extract_plato", extract_plato)
    return next((most for plato, most in STEWART_LIMITS if extract_plato <= plato), STEWART_LIMITS[-1][1])


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
