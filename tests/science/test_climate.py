"""Climate of a store: worked by hand, and how a history is cut changes nothing."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.climate import Excursion, excursions, gaps, mean_c, mean_kinetic_c, stretches_of

START = datetime(2026, 6, 1, tzinfo=UTC)


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def told(*readings: tuple[float, float], until: float = 24):
    return stretches_of([(at(hours), celsius) for hours, celsius in readings], at(until))


def test_a_reading_holds_until_the_next():
    assert [(one.hours, one.celsius) for one in told((0, 2), (6, 8), (30, 20))] == [(6, 2), (18, 8)]


def test_without_a_reading_there_is_no_stretch():
    assert told() == told((30, 4)) == []


def test_what_is_out_of_limits_for_longer_than_is_tolerated_is_an_excursion():
    history = told((0, 2), (2, 9), (5, 12), (8, 2), (10, 9), (11, 2), (12, -3), (20, 2))
    found = excursions(history, 0, 8, timedelta(hours=2))
    assert found == [Excursion(at(2), at(8), 12, True), Excursion(at(12), at(20), -3, False)]
    assert [one.hours for one in excursions(history, None, 8)] == [6, 1]
    assert excursions(history, None, None) == []


def test_the_limit_itself_is_inside():
    assert excursions(told((0, 8), (12, 0)), 0, 8) == []


def test_the_mean_and_the_kinetic_mean_by_hand():
    """12 h at 5 °C and 12 h at 25 °C: the mean of exp(-10000/278.15) and exp(-10000/298.15) is that of 19.6 °C."""
    history = told((0, 5), (12, 25))
    assert mean_c(history) == 15
    assert mean_kinetic_c(history) == pytest.approx(19.66, abs=0.05)
    assert mean_kinetic_c(told((0, 7))) == pytest.approx(7)
    assert (mean_c([]), mean_kinetic_c([])) == (None, None)


def test_a_silence_is_a_gap_up_to_now_too():
    moments = [at(0), at(1), at(5), at(6)]
    assert gaps(moments, at(12), timedelta(hours=2)) == [(at(1), at(5)), (at(6), at(12))]


readings = st.lists(
    st.tuples(st.integers(0, 23), st.integers(-20, 35)), min_size=1, max_size=8, unique_by=lambda r: r[0]
)


@given(readings, st.randoms(use_true_random=False), st.integers(0, 23))
def test_the_order_and_a_reading_said_again_change_nothing(history, random, hour):
    whole = told(*history)
    shuffled = list(history)
    random.shuffle(shuffled)
    first = min(hour for hour, _ in history)
    before = [celsius for when, celsius in sorted(history) if when <= max(hour, first)][-1]
    cut = told(*shuffled, *([] if hour < first or hour in dict(history) else [(hour, before)]))
    assert told(*shuffled) == whole
    assert excursions(cut, 0, 8, timedelta(hours=1)) == excursions(whole, 0, 8, timedelta(hours=1))
    assert mean_kinetic_c(cut) == pytest.approx(mean_kinetic_c(whole))
    assert mean_kinetic_c(whole) >= mean_c(whole) - 1e-9
