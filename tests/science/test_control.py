"""Control limits of single values and of moving ranges."""

import pytest

from brewery.science.control import control_limits
from brewery.science.ranges import OutOfRange


def test_the_constants_are_those_of_the_textbooks():
    # 2.660 and 3.267 for ranges of two: tables of control chart constants, from memory.
    limits = control_limits([10, 12, 10, 12, 10])
    assert limits.mean_range == 2
    assert limits.mean == pytest.approx(10.8)
    assert (limits.high - limits.mean) / limits.mean_range == pytest.approx(2.660, abs=2e-3)
    assert (limits.mean - limits.low) / limits.mean_range == pytest.approx(2.660, abs=2e-3)
    assert limits.most_range / limits.mean_range == pytest.approx(3.267, abs=5e-4)


def test_what_never_changes_has_no_room():
    assert control_limits([75.3] * 4).low == control_limits([75.3] * 4).high == pytest.approx(75.3)


def test_two_brews_make_no_chart():
    with pytest.raises(OutOfRange, match="three values or more"):
        control_limits([75.3, 76])
