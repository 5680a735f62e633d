"""Fermentation: curves are found again through scatter, and what stands still is told as ended or stuck."""

from math import inf
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewery.science.fermentation import Curve, Gravity, State, fit, judge, missing_for_a_fit, rate_per_day
from brewery.science.ranges import OutOfRange

curves = st.builds(Curve, st.floats(0.5, 4), st.floats(7, 13), st.floats(0.025, 0.12), st.floats(25, 70))
ALE = Curve(2.4, 9.8, 0.05, 50)


def readings(curve: Curve, hours: int, every: int = 8, scatter: float = 0.0, seed: int = 0) -> list[Gravity]:
    dice = Random(seed)
    return [Gravity(hour, curve.plato_at(hour) + dice.gauss(0, scatter)) for hour in range(0, hours + 1, every)]


def still(start: float, plato: float, hours: int = 72) -> list[Gravity]:
    """A fall in two days, and then nothing."""
    return [Gravity(0, start), Gravity(48, plato), *(Gravity(48 + more, plato) for more in range(12, hours, 12))]


@settings(max_examples=15, deadline=None)
@given(curves)
def test_a_curve_is_found_again_through_readings_that_lie_on_it(curve):
    whole = fit(readings(curve, 240))
    assert whole.final.value == pytest.approx(curve.end, abs=0.02)
    assert whole.final.low - 0.02 <= curve.end <= whole.final.high + 0.02
    assert whole.curve.hours_until(curve.end + 1) == pytest.approx(curve.hours_until(curve.end + 1), abs=1)


@settings(max_examples=15, deadline=None)
@given(curves, st.integers(0, 1000))
def test_scatter_moves_the_end_by_little(curve, seed):
    assert fit(readings(curve, 240, scatter=0.05, seed=seed)).final.value == pytest.approx(curve.end, abs=0.15)


@settings(max_examples=10, deadline=None)
@given(curves, st.floats(-5000, 5000))
def test_a_clock_set_otherwise_changes_nothing_but_the_hours(curve, later):
    told = readings(curve, 96)
    here, there = fit(told), fit([Gravity(one.hours + later, one.plato) for one in told])
    assert there.final.value == pytest.approx(here.final.value, abs=1e-3)
    assert there.ends_at_hours.value - later == pytest.approx(here.ends_at_hours.value, abs=0.2)


@settings(max_examples=10, deadline=None)
@given(curves, st.randoms())
def test_the_order_in_which_readings_come_changes_nothing(curve, dice):
    told = readings(curve, 120, scatter=0.03)
    mixed = list(told)
    dice.shuffle(mixed)
    assert fit(mixed) == fit(told)
    now = {"now_hours": 120, "original_plato": None, "aim_plato": 2.0}
    assert judge(mixed, **now) == judge(told, **now)


def test_no_curve_of_a_fine_grid_is_much_better_than_the_one_found():
    # An oracle that knows nothing of the search: every curve of a grid in all four parameters.
    told = readings(ALE, 120, every=12, scatter=0.05, seed=3)

    def cost(curve: Curve) -> float:
        return sum((curve.plato_at(one.hours) - one.plato) ** 2 for one in told)

    grid = [
        Curve(end / 20, drop / 20, steepness / 1000, middle)
        for end in range(30, 66, 2)
        for drop in range(180, 212, 2)
        for steepness in range(40, 62, 2)
        for middle in range(44, 57)
    ]
    assert cost(fit(told).curve) <= min(map(cost, grid)) + 1e-3


def test_half_of_a_fermentation_says_less_than_the_whole():
    half, whole = (fit(readings(ALE, hours, every=12, scatter=0.04)).final for hours in (72, 168))
    assert half.low < ALE.end < half.high
    assert whole.high - whole.low < half.high - half.low
    assert whole.low - 0.1 < ALE.end < whole.high + 0.1


def test_many_readings_of_a_logger_say_the_same_as_a_few():
    many = fit([Gravity(minute / 6, ALE.plato_at(minute / 6)) for minute in range(0, 6 * 200)])
    assert many.final.value == pytest.approx(ALE.end, abs=0.03)


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ([], "A curve needs 4 readings of gravity; there are 0."),
        (readings(ALE, 21, every=7), "A curve needs readings over 24 hours; there are 21."),
        (still(3.0, 2.8), "A curve needs a fall of 1 °P; there is 0.2 °P."),
    ],
)
def test_what_a_curve_still_needs_is_said(told, sentence):
    assert missing_for_a_fit(told) == sentence
    with pytest.raises(OutOfRange, match=sentence[:20]):
        fit(told)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.builds(Gravity, st.floats(-1e4, 1e4), st.floats(-3, 40)), min_size=4, max_size=12))
def test_whatever_was_read_gives_a_curve_or_a_sentence(told):
    if not missing_for_a_fit(told):
        found = fit(told)
        assert -3 <= found.final.value <= 40
        assert found.final.low <= found.final.value <= found.final.high
        low, high = found.band_at(told[0].hours)
        assert low <= found.curve.plato_at(told[0].hours) <= high
    judge(told, now_hours=0, original_plato=12, aim_plato=None)


def test_a_curve_never_comes_below_its_end_and_was_never_above_its_start():
    assert (ALE.hours_until(2.4), ALE.hours_until(12.3)) == (inf, -inf)
    assert ALE.plato_at(ALE.hours_until(5.0)) == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("told", "now_hours", "aim", "state", "why"),
    [
        (readings(ALE, 0), 0, 2.5, State.UNKNOWN, "It takes two readings of gravity to tell."),
        (readings(ALE, 48), 48, 2.5, State.FERMENTING, "It falls by 2.6 °P a day."),
        (readings(ALE, 104), 104, 2.5, State.SLOWING, "It falls by 1.2 °P a day, and fell by 2.9."),
        (still(12, 2.6), 108, 2.5, State.ENDED, "It fell by 0 °P in 2 days, and is where it should end."),
        (still(12, 5.0), 108, 2.5, State.STUCK, "It fell by 0 °P in 2 days, 2.5 °P above where it should end."),
        (still(12, 5.0), 200, 2.5, State.UNKNOWN, "Nothing was read for 3.83 days."),
        (still(12, 2.6), 900, 2.5, State.ENDED, "It fell by 0 °P in 2 days, and is where it should end."),
        (still(12, 2.6, 48), 84, 2.5, State.SLOWING, "It falls by 0 °P a day, and fell by 4.7."),
        ([*still(12, 2.6), Gravity(120, 3.0)], 120, 2.5, State.SLOWING, "It rises by 0.4 °P a day, and fell by 4.7."),
    ],
)
def test_what_a_fermentation_does_is_told_with_its_reason(told, now_hours, aim, state, why):
    judged = judge(told, now_hours=now_hours, original_plato=12, aim_plato=aim)
    assert (judged.state, judged.why) == (state, why)


def test_a_crawl_far_above_the_aim_is_stuck_and_near_it_is_not():
    def crawl(plato: float) -> list[Gravity]:
        return [Gravity(0, 12), Gravity(72, plato + 0.3), Gravity(96, plato + 0.15), Gravity(120, plato)]

    states = [judge(crawl(plato), now_hours=120, original_plato=12, aim_plato=2.5).state for plato in (5.0, 3.2)]
    assert states == [State.STUCK, State.SLOWING]


def test_where_nobody_said_where_it_ends_sixty_per_cent_count_and_without_an_original_nothing_does():
    def state(plato: float, original: float | None) -> State:
        return judge(still(12, plato), now_hours=108, original_plato=original, aim_plato=None).state

    assert [state(4.8, 12), state(6.0, 12), state(4.8, None)] == [State.ENDED, State.STUCK, State.SLOWING]


def test_a_rate_is_that_of_the_last_day():
    told = [Gravity(0, 12), Gravity(24, 10), Gravity(36, 9.5), Gravity(48, 9)]
    assert rate_per_day(told) == pytest.approx(-1.0)
    assert rate_per_day([Gravity(5, 12), Gravity(5, 11)]) == 0.0
