"""Hop acids: alpha and beta acids from three absorbances of a toluene extract in alkaline methanol.

Source: ASBC Methods of Analysis, 8th edition 1992, Hops-6A, as transcribed on realbeer.com. Other methods (lead
conductance, HPLC) tell other figures for the same lot: keep the method with the value, and never mix them.
"""

import math
from dataclasses import dataclass

from brewery.science.ranges import ABSORBANCE, Range

EXTRACT_OF_5_G_ML = 100
"""The extract is made of 5.000 g hops in 100 mL toluene."""

VOLUME_ML = Range(0, math.inf, "mL", "Look up the flask and the pipette.", above_least=True)
DILUTION = Range(0, math.inf, "", "Take it from dilution_factor.", above_least=True)


@dataclass(frozen=True, slots=True)
class Absorbances:
    """The absorbances at 355, 325 and 275 nm in a cell of 1 cm, blank corrected. Raises OutOfRange beyond 0 to 4."""

    a355: float
    a325: float
    a275: float

    def __post_init__(self) -> None:
        ABSORBANCE.check("a355", self.a355)
        ABSORBANCE.check("a325", self.a325)
        ABSORBANCE.check("a275", self.a275)


def dilution_factor(flask_a_ml: float, flask_b_ml: float, extract_ml: float, from_a_ml: float) -> float:
    """Return the factor of the two dilutions: extract_ml made up to flask_a_ml, from_a_ml of that to flask_b_ml.

    Without a unit; for 5.000 g hops in 100 mL toluene. Raises OutOfRange for a volume of none.
    """
    VOLUME_ML.check("flask_a_ml", flask_a_ml)
    VOLUME_ML.check("flask_b_ml", flask_b_ml)
    VOLUME_ML.check("extract_ml", extract_ml)
    VOLUME_ML.check("from_a_ml", from_a_ml)
    return flask_a_ml * flask_b_ml / (5 * EXTRACT_OF_5_G_ML * extract_ml * from_a_ml)


def alpha_acids_pct(read: Absorbances, dilution: float) -> float:
    """Return the alpha acids in % of the hops' weight. Raises OutOfRange for a dilution of none."""
    DILUTION.check("dilution", dilution)
    return dilution * (-51.56 * read.a355 + 73.79 * read.a325 - 19.07 * read.a275)


def beta_acids_pct(read: Absorbances, dilution: float) -> float:
    """Return the beta acids in % of the hops' weight. Raises OutOfRange for a dilution of none."""
    DILUTION.check("dilution", dilution)
    return dilution * (55.57 * read.a355 - 47.59 * read.a325 + 5.10 * read.a275)
