"""Mycotoxins: the level that is law on a day."""

from datetime import date

import pytest

from brewery.science.mycotoxins import DEOXYNIVALENOL, MAXIMUM_LEVELS, OCHRATOXIN_A, T2_HT2, level_on
from brewery.science.ranges import OutOfRange


@pytest.mark.parametrize(
    ("toxin", "day", "most"),
    [
        # 1,250 before and 1,000 µg/kg from 1 July 2024: inside.beer, on Regulation (EU) 2024/1022.
        (DEOXYNIVALENOL, date(2024, 6, 30), 1250),
        (DEOXYNIVALENOL, date(2024, 7, 1), 1000),
        # 200 µg/kg in unprocessed malting barley: inside.beer.
        (T2_HT2, date(2026, 1, 1), 200),
        # 3 µg/kg in malt: from memory.
        (OCHRATOXIN_A, date(2026, 1, 1), 3),
    ],
)
def test_the_level_of_a_day_is_the_one_that_was_law(toxin, day, most):
    assert level_on(toxin, day).most_ug_kg == most


def test_every_level_says_of_what_food_and_by_what_source():
    assert all(level.food and level.source for level in MAXIMUM_LEVELS)


@pytest.mark.parametrize(("toxin", "day"), [(T2_HT2, date(2024, 6, 30)), ("patulin", date(2026, 1, 1))])
def test_a_level_that_is_not_known_is_not_made_up(toxin, day):
    with pytest.raises(OutOfRange, match=f"No level of it is known here for {day}"):
        level_on(toxin, day)
