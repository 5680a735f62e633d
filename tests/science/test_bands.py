"""Bands: a figure that is unusual is doubted in words, and one that is usual is not."""

import math

from brewery.science.bands import Band

BOIL = Band("The boil", 45, 120, "min", "common practice, no source")


def test_what_is_usual_is_not_doubted_up_to_both_ends():
    assert [BOIL.doubt(minutes) for minutes in (45, 60, 120)] == ["", "", ""]


def test_what_is_unusual_is_doubted_in_words_with_the_source():
    assert BOIL.doubt(10) == "The boil of 10 min is unusual: 45 to 120 min (common practice, no source). Look again."


def test_a_band_may_have_no_end_and_no_unit():
    assert str(Band("Diastatic power", 200, math.inf, "WK", "TGL 17756")) == "at least 200 WK"
    assert (
        Band("High kraeusen on day", 3, 5, "", "Narziss").doubt(9).startswith("High kraeusen on day of 9 is unusual: 3")
    )
