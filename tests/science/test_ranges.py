"""Ranges: what lies outside is refused in words that name field, value and what to do."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.ranges import PER_CENT, VOLUME_HL, OutOfRange, Range

ends = st.floats(-1e6, 1e6)


def test_a_refusal_names_field_value_range_and_what_to_do():
    with pytest.raises(OutOfRange) as refused:
        PER_CENT.check("moisture_pct", 140)
    assert str(refused.value) == (
        "moisture_pct: 140 is not valid. It must be 0 to 100 %. "
        "Look up whether a share was written instead of a percentage."
    )
    assert (refused.value.field, refused.value.value) == ("moisture_pct", 140)


def test_a_refusal_is_a_value_error():
    with pytest.raises(ValueError, match=r"volume_hl: 0 is not valid\. It must be more than 0 hL\. Measure"):
        VOLUME_HL.check("volume_hl", 0)


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        (Range(0, 10, "°C"), "0 to 10 °C"),
        (Range(0, math.inf), "0 or more"),
        (Range(0, 1, above_least=True), "more than 0 and at most 1"),
    ],
)
def test_a_range_reads_as_people_say_it(limits, words):
    assert str(limits) == words


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_in_no_range(value):
    assert value not in Range(-math.inf, math.inf)


@given(ends, ends, ends, st.booleans())
def test_exactly_what_lies_between_is_taken(least, most, value, above):
    assert (value in Range(least, most, above_least=above)) == (
        least < value <= most or (value == least <= most and not above)
    )
