"""Hop storage index: how far a hop has aged, from two absorbances of its alkaline methanol extract.

For cones and pellets only, not for extracts or isomerised products (barthhaas.com, "How can the HSI be correctly
assessed for brewing purposes?"). Fresh values differ by almost 0.1 between varieties of one crop, so the rise since
receipt says more than the figure (brauwelt.com 622295).
"""

import enum
import math
from bisect import bisect_right

from brewery.science.estimates import Estimate
from brewery.science.ranges import ABSORBANCE, OutOfRange, Range

FRESH_INDEX = 0.25
SLOPE = 110.0
SLOPES_BY_CROP = (101.8, 114.6)
"""The slope over the crops of 1969 to 1977: Nickerson and Likens, J. Am. Soc. Brew. Chem. 37:184 (1979)."""

INDEX = Range(0.1, 2, "", "Cones and pellets lie at 0.2 to about 1; measure again.")
LOSS_PCT = Range(-50, 99, "%", "Look up both assays.")
ALPHA_PCT = Range(0, 70, "%", "Write the alpha acids in per cent of the hop's weight.", above_least=True)


class IndexClass(enum.StrEnum):
    """How aged a hop is by its index."""

    FRESH = "fresh"
    SLIGHTLY_AGED = "slightly aged"
    AGED = "aged"
    STRONGLY_AGED = "strongly aged"
    OVER_AGED = "over-aged"


_CLASS_STARTS = (0.32, 0.41, 0.51, 0.61)


def storage_index(a275: float, a325: float) -> float:
    """Return A275 / A325, blank corrected, without a unit. Source: ASBC Hops-12. Raises OutOfRange."""
    ABSORBANCE.check("a275", a275)
    ABSORBANCE.check("a325", a325)
    if not a325:
        raise OutOfRange("a325", a325, "It must be more than 0. Read the sample again against its blank.")
    return a275 / a325


def loss_pct(index: float, slope: float = SLOPE) -> float:
    """Return the alpha and beta acids lost, in % of those of the fresh hop; negative below 0.25: show that as none.

    slope x log10(index / 0.25), for 0.1 to 2; alpha alone mostly falls faster than the two together. Source: Nickerson
    and Likens 1979, as in Garetz, Brewing Techniques 2(1). Raises OutOfRange.
    """
    INDEX.check("index", index)
    return slope * math.log10(index / FRESH_INDEX)


def loss_range_pct(index: float) -> Estimate:
    """Return the loss in % with the slopes of the crops as its interval; none below 0.25. Raises OutOfRange."""
    least, most = (max(0.0, loss_pct(index, slope)) for slope in SLOPES_BY_CROP)
    return Estimate(max(0.0, loss_pct(index)), least, most)


def index_at_loss(loss: float) -> float:
    """Return the index of a hop that lost `loss` % of its alpha and beta acids. Raises OutOfRange."""
    LOSS_PCT.check("loss", loss)
    return float(FRESH_INDEX * 10 ** (loss / SLOPE))


def index_class(index: float) -> IndexClass:
    """Return the class; each starts at the figure named, and ends where the next starts.

    Fresh, aged from 0.41 and over-aged from 0.61 as in brewingscience.de 2023 11/12; the two between from memory, and
    what the source leaves out between two classes belongs to the younger. Raises OutOfRange.
    """
    INDEX.check("index", index)
    return list(IndexClass)[bisect_right(_CLASS_STARTS, index)]


def alpha_by_index(alpha_pct: float, index_then: float, index_now: float) -> float:
    """Return today's alpha acids in %, from the alpha and the index at one time and the index today.

    It falls as alpha and beta together do, and never rises: a lower index is scatter of the assay. Raises OutOfRange.
    """
    ALPHA_PCT.check("alpha_pct", alpha_pct)
    left_then, left_now = (100 - max(0.0, loss_pct(index)) for index in (index_then, index_now))
    return alpha_pct * min(1.0, left_now / left_then)
