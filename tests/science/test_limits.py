"""Limits: a value keeps them only where every figure that it may stand for does."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.analyses import ANALYSES
from brewery.science.limits import Verdict, fault_in_words, in_words, judge
from brewery.science.properties import MICRO, read

MALT = ANALYSES["malt"]
KEPT, BROKEN, NOT_SHOWN = Verdict.KEPT, Verdict.BROKEN, Verdict.NOT_SHOWN


def micro(text: str) -> int | None:
    return round(Fraction(text) * MICRO) if text else None


@pytest.mark.parametrize(
    ("text", "least", "most", "verdict"),
    [
        ("5", "", "5", KEPT),
        ("5.000001", "", "5", BROKEN),
        ("3.5", "3.5", "5", KEPT),
        ("3.499999", "3.5", "", BROKEN),
        ("99", "", "", KEPT),
        ("< 0.05", "", "0.05", KEPT),
        ("< 0.1", "", "0.05", NOT_SHOWN),
        ("< 0.1", "0.1", "", BROKEN),
        ("< 0.1", "0.05", "", NOT_SHOWN),
        ("< 0.1", "0", "0.1", KEPT),
        ("> 95", "95", "", KEPT),
        ("> 95", "96", "", NOT_SHOWN),
        ("> 95", "", "95", BROKEN),
        ("> 95", "", "99", NOT_SHOWN),
        ("> 95", "90", "100", KEPT),
    ],
)
def test_a_value_is_judged_by_all_that_it_may_be(text, least, most, verdict):
    friability = MALT["friability"]
    assert judge(friability, read(friability, text), micro(least), micro(most)) is verdict


def test_a_word_has_no_limits_to_keep():
    form = ANALYSES["hop"]["form"]
    assert judge(form, read(form, "cones"), None, None) is KEPT


SCALE = 20
ends = st.one_of(st.none(), st.integers(0, SCALE))


@given(st.integers(1, SCALE - 1), st.sampled_from(["", "<", ">"]), ends, ends)
def test_judging_agrees_with_trying_every_figure(value, bound, least, most):
    """The reference tries every half step that the value may be; friability is 0 to 100, a step is 5 of them."""
    step = 5 * MICRO
    friability = MALT["friability"]
    reading = read(friability, f"{bound} {value * 5}".strip())
    halves = range(0, 2 * SCALE + 1)
    may_be = [half for half in halves if {"": half == 2 * value, "<": half < 2 * value, ">": half > 2 * value}[bound]]
    keeps = [(least is None or half >= 2 * least) and (most is None or half <= 2 * most) for half in may_be]
    expected = KEPT if all(keeps) else NOT_SHOWN if any(keeps) else BROKEN
    if least is not None and most is not None and least > most:
        return  # the record holds no such limits
    found = judge(friability, reading, None if least is None else least * step, None if most is None else most * step)
    assert found is expected


@pytest.mark.parametrize(
    ("least", "most", "words"),
    [
        ("", "5", "at most 5 %"),
        ("9", "", "at least 9 %"),
        ("9", "12.5", "9 to 12.5 %"),
        ("0", "0", "0 to 0 %"),
        ("", "0", "at most 0 %"),
        ("", "", "must be stated"),
    ],
)
def test_limits_are_told_in_words(least, most, words):
    assert in_words(MALT["moisture"], micro(least), micro(most)) == words


def test_a_fault_names_property_figure_and_limit():
    moisture, toxin = MALT["moisture"], MALT["ochratoxin_a"]
    assert fault_in_words(moisture, read(moisture, "5.2"), BROKEN, "at most 5 %") == "Moisture 5.2 % is not at most 5 %"
    assert (
        fault_in_words(toxin, read(toxin, "< 0.1"), NOT_SHOWN, "at most 0.05 µg/kg")
        == "Ochratoxin A < 0.1 µg/kg cannot be shown to be at most 0.05 µg/kg"
    )
    assert fault_in_words(moisture, None, Verdict.MISSING, "at most 5 %") == "Moisture is not stated"
