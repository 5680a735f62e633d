"""Storage: decay over a history of temperatures, with the temperature law of hops as the example."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.ranges import OutOfRange
from brewery.science.storage import (
    Stay,
    TemperatureLaw,
    equivalent_days_until,
    exposure,
    fitted_rate,
    rate_from_loss,
    remaining,
)

LAW = TemperatureLaw(times=2, every_k=15)
stays = st.builds(Stay, st.floats(0, 1000), st.floats(-30, 40), st.floats(0, 1))
histories = st.lists(stays, max_size=8)
rates = st.floats(0, 0.01)


@pytest.mark.parametrize(
    ("temperature_c", "factor"),
    [
        *((20, 1), (5, 0.5), (-10, 0.25), (-25, 0.125), (10, 0.62996), (4, 0.47743), (2, 0.43528), (0, 0.39685)),
        *((-18, 0.17274), (25, 1.25992), (30, 1.58740), (15, 0.79370), (-5, 0.31498)),
    ],
)
def test_the_rate_halves_for_each_15_degrees(temperature_c, factor):
    # The rule: Garetz, Brewing Techniques 2(1), "halves for every 15 °C drop"; the figures follow from it.
    assert LAW(temperature_c) == pytest.approx(factor, abs=1e-5)


def test_whole_halvings_are_exact():
    for halvings in range(-1, 4):
        assert Fraction(LAW(20 - 15 * halvings)) == Fraction(1, 2) ** halvings


def test_halving_by_15_degrees_is_a_q10_and_about_an_arrhenius_energy():
    assert LAW.q10 == pytest.approx(1.58740, abs=1e-5)
    arrhenius = math.exp(-31_328 / 8.314462618 * (1 / 278.15 - 1 / 293.15))
    assert LAW(5) == pytest.approx(arrhenius, abs=1e-4)


@pytest.mark.parametrize(
    ("loss_pct", "rate"),
    [
        *((10, 0.00058534), (15, 0.00090288), (20, 0.00123969), (25, 0.00159823), (30, 0.00198153)),
        *((40, 0.00283792), (46, 0.00342326), (49, 0.00374080), (50, 0.00385082), (60, 0.00509050)),
    ],
)
def test_the_rate_is_that_of_180_days(loss_pct, rate):
    # k = ln(A0 / A) / 180: Garetz, Brewing Techniques 2(1); the figures follow from it.
    assert rate_from_loss(loss_pct, 180) == pytest.approx(rate, abs=1e-8)
    assert remaining(100, rate_from_loss(loss_pct, 180), 180) == pytest.approx(100 - loss_pct, abs=1e-9)


@pytest.mark.parametrize(("loss_pct", "half_life"), [(10, 1184), (25, 434), (50, 180), (60, 136)])
def test_the_half_life_follows_from_the_rate(loss_pct, half_life):
    assert equivalent_days_until(50, 100, rate_from_loss(loss_pct, 180)) == pytest.approx(half_life, abs=0.5)


def test_trials_of_two_years_fit_rates_on_both_sides_of_the_model():
    # Rutnik et al., Plants 2023 12(4) 936: 10 to 35 % lost at 4 °C without air, 63 to 99 % in air at room temperature.
    assert rate_from_loss(10, 730) == pytest.approx(0.00014433, abs=1e-8)
    assert rate_from_loss(35, 730) == pytest.approx(0.00059011, abs=1e-8)
    assert rate_from_loss(63, 730) == pytest.approx(0.00136, abs=1e-5)
    assert rate_from_loss(99, 730) == pytest.approx(0.0063, abs=1e-4)


def test_a_warm_month_counts_for_more_than_the_mean_temperature_says():
    # The sum of 30 · 1.5874 and 30 · 0.39685, against 60 · 0.7937: calculated from the rule of Garetz.
    mixed, at_mean = [Stay(30, 30), Stay(30, 0)], [Stay(60, 15)]
    assert exposure(mixed, LAW) == pytest.approx(59.528, abs=0.001)
    assert exposure(at_mean, LAW) == pytest.approx(47.622, abs=0.001)


@given(histories, st.randoms(use_true_random=False))
def test_the_order_of_stays_changes_nothing(history, shuffler):
    shuffled = list(history)
    shuffler.shuffle(shuffled)
    assert exposure(shuffled, LAW) == exposure(history, LAW)


@given(histories, stays, st.floats(0, 1))
def test_splitting_a_stay_changes_nothing(history, stay, part):
    split = [Stay(stay.days * share, stay.temperature_c, stay.protection) for share in (part, 1 - part)]
    whole = exposure([*history, stay], LAW)
    assert exposure([*history, *split], LAW) == pytest.approx(whole, rel=1e-9, abs=1e-9)


@given(histories, st.floats(-30, 40))
def test_no_time_changes_nothing(history, temperature_c):
    assert exposure([*history, Stay(0, temperature_c)], LAW) == exposure(history, LAW)


@given(stays, st.floats(0, 10), st.floats(0, 10), st.floats(0, 1))
def test_longer_warmer_and_opener_is_never_less(stay, days, warmer, opener):
    worse = Stay(
        stay.days + days, stay.temperature_c + warmer, stay.protection + (1 - stay.protection) * opener * (1 - 1e-12)
    )
    assert exposure([worse], LAW) >= exposure([stay], LAW) * (1 - 1e-12)


@given(st.floats(0.1, 100), rates, histories)
def test_there_is_never_more_than_at_first(amount, rate, history):
    assert 0 <= remaining(amount, rate, exposure(history, LAW)) <= amount


@given(st.floats(1, 100), st.floats(0.0005, 0.01), st.floats(1, 400))
def test_a_rate_is_found_again_from_two_measurements(amount, rate, days):
    later = remaining(amount, rate, days)
    assert fitted_rate(amount, later, days) == pytest.approx(rate, rel=1e-6)


@given(st.floats(1, 100), st.floats(0.0005, 0.01), st.floats(0.05, 0.99))
def test_at_the_day_foretold_the_limit_is_reached(amount, rate, part):
    days = equivalent_days_until(amount * part, amount, rate)
    assert remaining(amount, rate, days) == pytest.approx(amount * part)


def test_what_is_below_its_limit_is_there_today_and_what_never_decays_never():
    assert equivalent_days_until(8, 7, 0.004) == 0
    assert equivalent_days_until(7, 8, 0) == math.inf


@given(st.floats(0.001, 0.01), st.floats(-20, 20), st.floats(0, 20))
def test_decay_under_a_rising_temperature_agrees_with_integrating_it(rate, start_c, rise_c):
    """The reference integrates dA/dt = -k · TF(T(t)) · A over 100 days by Runge and Kutta; ours has 400 short stays."""

    def slope(day: float, left: float) -> float:
        return -rate * 2 ** ((start_c + rise_c * day / 100 - 20) / 15) * left

    left = 1.0
    for day in range(100):
        first = slope(day, left)
        second = slope(day + 0.5, left + first / 2)
        third = slope(day + 0.5, left + second / 2)
        fourth = slope(day + 1, left + third)
        left += (first + 2 * second + 2 * third + fourth) / 6
    steps = [Stay(0.25, start_c + rise_c * (step + 0.5) / 400) for step in range(400)]
    assert remaining(1, rate, exposure(steps, LAW)) == pytest.approx(left, rel=1e-6)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: Stay(-1, 4), "days: -1 is not valid"),
        (lambda: Stay(1, 70), "temperature_c: 70 is not valid. It must be -40 to 60 °C"),
        (lambda: Stay(1, 4, 2), "protection: 2 is not valid"),
        (lambda: LAW(200), "temperature_c: 200 is not valid"),
        (lambda: TemperatureLaw(0.5, 10), "times: 0.5 is not valid"),
        (lambda: TemperatureLaw(2, 0), "every_k: 0 is not valid"),
        (lambda: rate_from_loss(100, 180), "loss_pct: 100 is not valid"),
        (lambda: rate_from_loss(10, 0), "days: 0 is not valid"),
        (lambda: remaining(0, 0.1, 1), "amount: 0 is not valid"),
        (lambda: remaining(1, 40, 1), "rate_per_day: 40 is not valid"),
        (lambda: fitted_rate(8, 8.5, 30), "later: 8.5 is not valid. .* scatter of the assay"),
        (lambda: fitted_rate(8, 7, 0), "equivalent_days: 0 is not valid"),
        (lambda: equivalent_days_until(0, 1, 1), "limit: 0 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
