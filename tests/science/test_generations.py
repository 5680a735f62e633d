"""Generations of yeast."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.generations import FIRST, blend_generation, crop_generation
from brewery.science.ranges import OutOfRange

generations = st.lists(st.integers(1, 40), min_size=1, max_size=5)


def test_the_crop_of_generations_3_and_5_is_6():
    # One more than the highest pitched: common practice, no source.
    assert blend_generation([3, 5]) == 5
    assert crop_generation([3, 5]) == 6


def test_a_propagated_culture_is_the_first():
    assert crop_generation([]) == FIRST == 1


@given(generations, generations)
def test_a_blend_of_blends_is_as_old_as_all_of_it(some, others):
    assert blend_generation([blend_generation(some), blend_generation(others)]) == blend_generation(some + others)


@given(generations)
def test_a_crop_is_older_than_whatever_was_pitched(pitched):
    assert all(crop_generation(pitched) > one for one in pitched)


@pytest.mark.parametrize("parts", [[], [0], [3, -1]])
def test_what_cannot_be_is_refused(parts):
    with pytest.raises(OutOfRange, match="Name the generation of each yeast, from 1"):
        blend_generation(parts)
