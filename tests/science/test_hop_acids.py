"""Hop acids from absorbances, by the worked example of the method."""

import pytest

from brewery.science.hop_acids import Absorbances, alpha_acids_pct, beta_acids_pct, dilution_factor
from brewery.science.ranges import OutOfRange

EXAMPLE = Absorbances(a355=0.615, a325=0.596, a275=0.132)


def test_the_worked_example_of_the_method_comes_out():
    # ASBC Hops-6A, 8th edition 1992, as transcribed on realbeer.com: 0.667, 6.5 % and 4.3 %.
    dilution = dilution_factor(100, 50, extract_ml=5, from_a_ml=3)
    assert dilution == pytest.approx(0.667, abs=0.0005)
    assert alpha_acids_pct(EXAMPLE, dilution) == pytest.approx(6.50, abs=0.005)
    assert beta_acids_pct(EXAMPLE, dilution) == pytest.approx(4.32, abs=0.005)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: Absorbances(5, 0.5, 0.1), "a355: 5 is not valid"),
        (lambda: dilution_factor(100, 50, 0, 3), "extract_ml: 0 is not valid. It must be more than 0 mL"),
        (lambda: alpha_acids_pct(EXAMPLE, 0), "dilution: 0 is not valid"),
        (lambda: beta_acids_pct(EXAMPLE, -1), "dilution: -1 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
