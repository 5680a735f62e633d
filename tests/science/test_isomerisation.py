"""Isomerisation: published rates, and a kettle whose temperature changes against integrating it step by step."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.isomerisation import Heat, breaking_rate, dissolved_part, forming_rate, isomerised, peak
from brewery.science.ranges import OutOfRange

GAS_CONSTANT_KJ = 8.314462618e-3
heats = st.builds(Heat, st.floats(0, 120), st.floats(60, 120), st.floats(60, 120))
steady_heats = st.builds(Heat.steady, st.floats(0, 120), st.floats(60, 120))


def iso_after(minutes: float, temperature_c: float) -> float:
    return isomerised([Heat.steady(minutes, temperature_c)]).iso


def integrated(heat: Heat, steps: int = 4000) -> tuple[float, float]:
    """The two reactions over one heat by Runge and Kutta: an oracle that knows no exact solution."""

    def slopes(minute: float, alpha: float, iso: float) -> tuple[float, float]:
        kelvin = heat.from_c + (heat.to_c - heat.from_c) * minute / heat.minutes + 273.15
        formed = 7.9e11 * math.exp(-11858 / kelvin) * alpha
        return -formed, formed - 4.1e12 * math.exp(-12994 / kelvin) * iso

    alpha, iso, width = 1.0, 0.0, heat.minutes / steps
    for step in range(steps):
        at = step * width
        first = slopes(at, alpha, iso)
        second = slopes(at + width / 2, alpha + first[0] * width / 2, iso + first[1] * width / 2)
        third = slopes(at + width / 2, alpha + second[0] * width / 2, iso + second[1] * width / 2)
        fourth = slopes(at + width, alpha + third[0] * width, iso + third[1] * width)
        alpha += width / 6 * (first[0] + 2 * second[0] + 2 * third[0] + fourth[0])
        iso += width / 6 * (first[1] + 2 * second[1] + 2 * third[1] + fourth[1])
    return alpha, iso


# The two equations: Malowicki and Shellhammer, J. Agric. Food Chem. 2005, 53, 4434; the figures follow from them.
@pytest.mark.parametrize(
    ("temperature_c", "forming", "breaking", "half_life", "after_60", "after_90"),
    [
        (80, 0.002065, 0.000430, 335.6, 0.115, 0.166),
        (85, 0.003300, 0.000718, 210.0, 0.176, 0.249),
        (90, 0.005206, 0.001183, 133.1, 0.2585, 0.3534),
        (95, 0.008112, 0.001924, 85.4, 0.3623, 0.4708),
        (100, 0.012490, 0.003087, 55.5, 0.4759, 0.5745),
        (105, 0.019013, 0.004893, 36.5, 0.5737, 0.6236),
        (110, 0.028627, 0.007661, 24.2, 0.6172, 0.5814),
        (120, 0.062899, 0.018152, 11.0, 0.4408, 0.2695),
        (130, 0.132912, 0.041206, 5.2, 0.1218, 0.0355),
    ],
)
def test_the_table_of_the_kettle(temperature_c, forming, breaking, half_life, after_60, after_90):
    assert forming_rate(temperature_c) == pytest.approx(forming, abs=1e-6)
    assert breaking_rate(temperature_c) == pytest.approx(breaking, abs=1e-6)
    assert math.log(2) / forming_rate(temperature_c) == pytest.approx(half_life, abs=0.06)
    rounding = 1e-4 if temperature_c >= 90 else 6e-4
    assert iso_after(60, temperature_c) == pytest.approx(after_60, abs=rounding)
    assert iso_after(90, temperature_c) == pytest.approx(after_90, abs=rounding)


def test_the_activation_energies_are_those_printed():
    # Malowicki and Shellhammer 2005: 98.6 and 108.0 kJ/mol.
    for rate, energy in ((forming_rate, 98.6), (breaking_rate, 108.0)):
        slope = math.log(rate(130) / rate(90)) / (1 / 363.15 - 1 / 403.15)
        assert slope * GAS_CONSTANT_KJ == pytest.approx(energy, abs=0.05)


@pytest.mark.parametrize(("minutes", "iso"), [(15, 0.1668), (30, 0.2976), (45, 0.3988), (120, 0.6203)])
def test_the_boil_at_100_degrees(minutes, iso):
    # Calculated from the equations of Malowicki and Shellhammer 2005.
    assert iso_after(minutes, 100) == pytest.approx(iso, abs=1e-4)


def test_a_stand_in_the_whirlpool_makes_some_and_says_where_nobody_measured():
    # Calculated from the equations of Malowicki and Shellhammer 2005; below 90 °C they are carried on.
    at_95, at_85 = (isomerised([Heat.steady(30, temperature_c)]) for temperature_c in (95, 85))
    assert (at_95.iso, at_95.is_extrapolated) == (pytest.approx(0.2097, abs=1e-4), False)
    assert (at_85.iso, at_85.is_extrapolated) == (pytest.approx(0.0932, abs=1e-4), True)


@pytest.mark.parametrize(
    ("temperature_c", "minutes", "part"),
    [
        (90, 368, 0.647),
        (95, 232, 0.639),
        (100, 148.6, 0.632),
        (105, 96.1, 0.625),
        (110, 62.9, 0.618),
        (120, 27.8, 0.604),
        (130, 12.8, 0.591),
    ],
)
def test_there_is_a_time_of_most(temperature_c, minutes, part):
    # Calculated from the equations of Malowicki and Shellhammer 2005.
    at, most = peak(temperature_c)
    assert (at, most) == (pytest.approx(minutes, abs=0.6 if minutes > 200 else 0.06), pytest.approx(part, abs=6e-4))
    assert most >= max(iso_after(at * 0.99, temperature_c), iso_after(at * 1.01, temperature_c))


@pytest.mark.parametrize("heat", [Heat(60, 98, 98), Heat(40, 98, 70), Heat(20, 80, 105), Heat(3, 100, 60)])
def test_a_changing_temperature_agrees_with_integrating_it(heat):
    alpha, iso = integrated(heat)
    ours = isomerised([heat])
    assert ours.alpha == pytest.approx(alpha, rel=1e-5)
    assert ours.iso == pytest.approx(iso, rel=1e-5)


@given(steady_heats, steady_heats, st.floats(0, 1))
def test_splitting_a_steady_heat_changes_nothing(first, last, part):
    halves = [Heat.steady(last.minutes * share, last.from_c) for share in (part, 1 - part)]
    whole, split = isomerised([first, last]), isomerised([first, *halves])
    assert (split.alpha, split.iso) == pytest.approx((whole.alpha, whole.iso), rel=1e-9, abs=1e-9)


@given(st.lists(heats, max_size=4))
def test_nothing_comes_of_nothing(heats):
    made = isomerised(heats)
    assert made.alpha >= 0
    assert made.iso >= 0
    assert made.alpha + made.iso <= 1 + 1e-12


@given(st.floats(0, 60), st.floats(0, 60))
def test_alpha_only_falls(minutes, more):
    at_100 = [isomerised([Heat.steady(one, 100)]).alpha for one in (minutes, minutes + more)]
    assert at_100[1] <= at_100[0] + 1e-12


def test_up_to_90_mg_a_litre_all_of_it_dissolves():
    # About 90 mg/L at pH 5.2: Malowicki's thesis, 2004.
    assert [dissolved_part(alpha) for alpha in (0, 60, 90, 180)] == [1, 1, 1, 0.5]


def test_no_time_makes_nothing_however_hot():
    assert isomerised([Heat(0, 50, 100)]) == isomerised([])


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: Heat(-1, 100, 100), "minutes: -1 is not valid"),
        (lambda: Heat(1, 140, 100), "from_c: 140 is not valid"),
        (lambda: Heat(1, 100, -3), "to_c: -3 is not valid"),
        (lambda: dissolved_part(-1), "alpha_mg_l: -1 is not valid"),
        (lambda: peak(200), "temperature_c: 200 is not valid"),
        (lambda: breaking_rate(200), "temperature_c: 200 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
