"""Freshness: beer that ages by a Q10, and a rule of thumb that has none."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.freshness import age_at_20_days, celsius, days_left, q10_of, staling_law
from brewery.science.ranges import OutOfRange
from brewery.science.storage import Stay

histories = st.lists(st.builds(Stay, st.floats(0, 300), st.floats(0, 40)), max_size=6)


@pytest.mark.parametrize(
    ("q10", "at_c", "weeks"), [(3, 20, 6), (3, 10, 18), (3, 0, 54), (2, 20, 4), (2, 10, 8), (2, 0, 16)]
)
def test_two_weeks_at_30_degrees_stand_for_longer_in_the_cold(q10, at_c, weeks):
    # Bamforth and Lentini 2009, as on milkthefunk.com, Aging.
    assert age_at_20_days([Stay(14, 30)], q10) == pytest.approx(age_at_20_days([Stay(7 * weeks, at_c)], q10), abs=1e-9)


def test_the_rule_of_3_30_and_300_is_no_one_law():
    # 3 days at 90 °F, 30 at 72, 300 at 38: tastingtable.com 1554706, madtreebrewing.com.
    assert q10_of(30, celsius(72), 300, celsius(38)) == pytest.approx(3.38, abs=0.01)
    assert q10_of(3, celsius(90), 30, celsius(72)) == pytest.approx(10.0, abs=0.01)


def test_a_brewerys_trial_gives_about_two():
    # 14.2 times as fast at 40 °C as at room temperature, 30.0 at 50, 59.1 at 60: MBAA 2012 proceedings, 260.
    assert q10_of(1 / 30.0, 50, 1 / 14.2, 40) == pytest.approx(2.11, abs=0.01)
    assert q10_of(1 / 59.1, 60, 1 / 30.0, 50) == pytest.approx(1.97, abs=0.01)


def test_celsius_agrees_with_pint():
    registry = pint.UnitRegistry()
    for fahrenheit in (-40, 32, 38, 72, 90, 212):
        oracle = registry.Quantity(fahrenheit, "degF").to("degC").magnitude
        assert celsius(fahrenheit) == pytest.approx(oracle, abs=1e-9)


@given(histories, st.floats(0, 30), st.floats(60, 400))
def test_beer_kept_for_the_days_left_is_as_old_as_it_may_be(history, store_c, life_days):
    left = days_left(life_days, history, store_c)
    age = age_at_20_days([*history, Stay(left, store_c)])
    assert age == pytest.approx(max(life_days, age_at_20_days(history)))


@given(histories, st.floats(2, 3))
def test_splitting_and_reordering_change_nothing(history, q10):
    split = [Stay(stay.days / 2, stay.temperature_c) for stay in reversed(history) for _ in range(2)]
    assert age_at_20_days(split, q10) == pytest.approx(age_at_20_days(history, q10), abs=1e-9)


def test_the_usual_law_is_between_those_advised():
    # Bamforth and Lentini 2009: 2 to 3; 2.5 is common practice, no source.
    assert staling_law().q10 == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: staling_law(12), "q10: 12 is not valid"),
        (lambda: days_left(-1, [], 4), "life_days: -1 is not valid"),
        (lambda: q10_of(3, 4, 30, 20), "warm_c: 4 is not valid. It must be warmer than 20 °C"),
        (lambda: q10_of(0, 20, 30, 4), "warm_days: 0 is not valid"),
        (lambda: q10_of(3, 20, 0, 4), "cold_days: 0 is not valid"),
        (lambda: celsius(900), "fahrenheit: 900 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
