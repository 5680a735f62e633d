"""Generations of yeast."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.generations import FIRST, blend_generation, crop_generation, usual_limit
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


@pytest.mark.parametrize(
    ("extract_plato", "most"), [(10, 20), (12, 20), (12.1, 16), (14, 16), (16, 12), (18, 8), (22, 8)]
)
def test_strong_wort_tires_yeast_sooner(extract_plato, most):
    # Stewart 2015, as in Quain, Generation number, ebrary.net 83041: more than 20, 16, 12, 8 at 12, 14, 16, 18 °P.
    assert usual_limit(extract_plato) == most


@pytest.mark.parametrize("parts", [[], [0], [3, -1]])
def test_what_cannot_be_is_refused(parts):
    with pytest.raises(OutOfRange, match="Name the generation of each yeast, from 1"):
        blend_generation(parts)
