"""Estimates: intervals that hold their figure, and what measurements say of the next one."""

import math
import random
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.estimates import Estimate, next_of
from brewery.science.ranges import OutOfRange


def students_t(at: float, freedom: int) -> float:
    """The chance of less than `at`: Student's density, summed up by Simpson's rule. An oracle of its own."""
    scale = math.gamma((freedom + 1) / 2) / math.sqrt(freedom * math.pi) / math.gamma(freedom / 2)
    points = 2000
    width = at / points
    heights = [scale * (1 + (step * width) ** 2 / freedom) ** (-(freedom + 1) / 2) for step in range(points + 1)]
    inner = sum(height * (4 if step % 2 else 2) for step, height in enumerate(heights[1:-1], start=1))
    return 0.5 + width / 3 * (heights[0] + inner + heights[-1])


def test_a_figure_lies_in_its_own_interval():
    with pytest.raises(OutOfRange, match="It must lie in its own interval, 2 to 3"):
        Estimate(1, 2, 3)


def test_a_figure_may_be_exact_or_have_room_on_both_sides():
    assert Estimate.exact(4) == Estimate(4, 4, 4)
    assert Estimate.give_or_take(4, 1).times(2) == Estimate(8, 6, 10)


@pytest.mark.parametrize("count", range(3, 33))
def test_the_interval_of_the_next_value_is_students_to_the_rounding_of_its_table(count):
    chance = random.Random(count)
    values = [chance.gauss(0.28, 0.02) for _ in range(count)]
    expected = next_of(values)
    spread = statistics.stdev(values) * math.sqrt(1 + 1 / count)
    t = (expected.high - expected.value) / spread
    assert students_t(t, min(count - 1, 30)) == pytest.approx(0.975, abs=3e-5)
    assert expected.value == pytest.approx(sum(values) / count)
    assert expected.value - expected.low == pytest.approx(expected.high - expected.value)


def test_two_values_tell_of_no_scatter():
    with pytest.raises(OutOfRange, match="Three measurements or more"):
        next_of([0.2, 0.3])


@given(st.lists(st.floats(0.1, 0.5), min_size=3, max_size=40), st.floats(0.1, 10))
def test_the_interval_scales_with_its_unit(values, factor):
    scaled, expected = next_of([value * factor for value in values]), next_of(values).times(factor)
    assert (scaled.low, scaled.high) == pytest.approx((expected.low, expected.high), abs=1e-9)
