"""Readings of tanks: how warm a tank is to be as the days pass."""

import pytest

from brewery.science.tank_readings import Stretch, aim_after

STEPS = (Stretch("fermentation", 9, 7), Stretch("diacetyl rest", 14, 2), Stretch("maturation", 1, 14))


@pytest.mark.parametrize(
    ("days", "words", "least", "most"),
    [
        (0, "fermentation", 8, 10),
        (6.9, "fermentation", 8, 10),
        (7.5, "diacetyl rest", 8, 15),
        (8.5, "diacetyl rest", 13, 15),
        (9.5, "maturation", 0, 15),
        (11, "maturation", 0, 2),
        (400, "maturation", 0, 2),
    ],
)
def test_a_tank_is_as_warm_as_its_step_and_between_steps_anywhere_between(days, words, least, most):
    aim = aim_after(STEPS, days * 24)
    assert (aim.words, aim.least_c, aim.most_c) == (words, least, most)
    assert [aim.is_missed_by(degrees) for degrees in (least - 0.1, least, most, most + 0.1)] == [
        True,
        False,
        False,
        True,
    ]


def test_without_steps_or_before_pitching_nothing_is_aimed_at():
    assert aim_after((), 5) is None
    assert aim_after(STEPS, -1) is None
