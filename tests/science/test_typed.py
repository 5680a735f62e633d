"""Quantities as people type them: either decimal sign, a unit or none, and nothing guessed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro


@pytest.mark.parametrize(
    ("typed", "base", "micro"),
    [
        ("12.5", "kg", 12_500_000),
        ("12,5", "kg", 12_500_000),
        (" 1 250 ", "kg", 1_250_000_000),
        ("500 g", "kg", 500_000),
        ("500 G", "kg", 500_000),
        ("2 hL", "L", 200_000_000),
        ("0,0001", "L", 100),
    ],
)
def test_what_is_typed_is_read(typed: str, base: str, micro: int):
    assert typed_micro(typed, base) == micro


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("", "not_a_number"),
        ("five", "not_a_number"),
        ("-1", "not_a_number"),
        ("1.2.3", "not_a_number"),
        ("1,250", "ambiguous"),
    ],
)
def test_what_could_be_something_else_is_refused(typed: str, code: str):
    with pytest.raises(UnitError) as refused:
        typed_micro(typed, "kg")
    assert refused.value.code == code


@given(micro=st.integers(min_value=0, max_value=10**15))
def test_what_is_shown_with_a_point_is_read_back(micro: int):
    assert typed_micro(format_micro(micro, "kg"), "kg") == micro
