"""The exact test of a common cause."""

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.common_cause import Coverage, chance
from brewery.science.ranges import OutOfRange


@pytest.mark.parametrize(("right", "expected"), [(4, Fraction(1, 70)), (3, Fraction(17, 70)), (0, Fraction(1))])
def test_the_lady_tasting_tea(right: int, expected: Fraction):
    # R. A. Fisher, The Design of Experiments, 1935, chapter 2: 1 and 17 ways in 70 (from memory).
    assert chance(Coverage(bad=right, of_bad=4, good=4 - right, of_good=4)) == expected


def test_three_of_three_bad_and_none_of_five_good():
    # By counting: one way in 56.
    assert chance(Coverage(3, 3, 0, 5)) == Fraction(1, 56)


def test_without_good_ones_nothing_can_be_told():
    assert chance(Coverage(2, 3, 0, 0)) == 1


@given(st.integers(1, 5), st.integers(0, 5), st.data())
def test_it_is_what_counting_every_choice_says(of_bad: int, of_good: int, data: st.DataObject):
    bad, good = data.draw(st.integers(0, of_bad)), data.draw(st.integers(0, of_good))
    choices = list(combinations(range(of_bad + of_good), bad + good))
    as_many = sum(1 for choice in choices if sum(one < of_bad for one in choice) >= bad)
    assert chance(Coverage(bad, of_bad, good, of_good)) == Fraction(as_many, len(choices))


@pytest.mark.parametrize(
    ("counts", "words"),
    [((1, 0, 0, 1), "of_bad: 0 is not valid"), ((3, 2, 0, 1), "bad: 3 is not valid"), ((1, 2, 2, 1), "good: 2 is not")],
)
def test_what_cannot_be_is_refused(counts: tuple[int, int, int, int], words: str):
    with pytest.raises(OutOfRange, match=words):
        Coverage(*counts)
