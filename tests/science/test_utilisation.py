"""Utilisation: the published table, kinetics, and what a brewery measured itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.bitterness import bitterness_mg_l
from brewery.science.estimates import Estimate
from brewery.science.isomerisation import Heat, isomerised
from brewery.science.ranges import OutOfRange
from brewery.science.utilisation import (
    kinetic_utilisation,
    measured_survival,
    measured_utilisation,
    own_utilisation,
    table_utilisation,
)

GRAVITIES = (1.030, 1.040, 1.050, 1.060, 1.070, 1.080, 1.090, 1.100)
BOILED = isomerised([Heat.steady(60, 100)])
minutes_of_boil, gravities = st.floats(0, 240), st.floats(1, 1.1)


@pytest.mark.parametrize(
    ("minutes", "gravity", "part"), [(30, 1.050, 0.177), (30, 1.060, 0.162), (60, 1.080, 0.176), (15, 1.080, 0.087)]
)
def test_the_table_gives_what_is_printed(minutes, gravity, part):
    # Palmer, table 7, as quoted on homebrewtalk.com 4316120: the printed values of Tinseth's table.
    assert table_utilisation(minutes, gravity) == pytest.approx(part, abs=0.0006)


@pytest.mark.parametrize(
    ("minutes", "parts"),
    [
        (5, (0.055, 0.050, 0.046, 0.042, 0.038, 0.035, 0.032, 0.029)),
        (10, (0.100, 0.091, 0.084, 0.076, 0.070, 0.064, 0.058, 0.053)),
        (15, (0.137, 0.125, 0.114, 0.105, 0.096, 0.087, 0.080, 0.073)),
        (30, (0.212, 0.194, 0.177, 0.162, 0.148, 0.135, 0.124, 0.113)),
        (60, (0.276, 0.252, 0.231, 0.211, 0.193, 0.176, 0.161, 0.147)),
        (90, (0.295, 0.270, 0.247, 0.226, 0.206, 0.188, 0.172, 0.157)),
    ],
)
def test_the_whole_table(minutes, parts):
    # Calculated from Tinseth's formula, as on realbeer.com.
    assert [table_utilisation(minutes, gravity) for gravity in GRAVITIES] == pytest.approx(parts, abs=0.0006)


def test_no_boil_uses_nothing_and_the_longest_at_most_two_fifths():
    # 1.65 / 4.15 = 0.3976, from Tinseth's formula.
    assert table_utilisation(0, 1.05) == 0
    assert table_utilisation(10_000, 1.0) == pytest.approx(0.3976, abs=1e-4)


@given(minutes_of_boil, st.floats(0, 60), gravities, st.floats(0, 0.02))
def test_longer_uses_more_and_stronger_wort_less(minutes, more, gravity, stronger):
    usual = table_utilisation(minutes, gravity)
    assert table_utilisation(minutes + more, gravity) >= usual - 1e-12
    assert table_utilisation(minutes, gravity + stronger) <= usual + 1e-12


@given(st.floats(0.02, 0.9), st.floats(1, 500), st.floats(0.01, 0.2))
def test_measuring_finds_what_was_used(part, volume_hl, alpha_kg_per_hl):
    alpha_kg = alpha_kg_per_hl * volume_hl
    brought = bitterness_mg_l(alpha_kg, 1, part, volume_hl) * 100
    if brought <= 200:
        assert measured_utilisation(brought, volume_hl, alpha_kg) == pytest.approx(part)


def test_a_brewery_goes_by_its_own_brews():
    own = own_utilisation([0.27, 0.28, 0.29])
    assert own.value == pytest.approx(0.28)
    # Student's t of 2 degrees of freedom is 4.303: 0.28 ± 4.303 · 0.01 · sqrt(4/3).
    assert own.high == pytest.approx(0.28 + 4.303 * 0.01 * (4 / 3) ** 0.5)
    scattered = own_utilisation([0.01, 0.5, 0.99])
    assert (scattered.low, scattered.high) == (0, 1)


def test_kinetics_and_survival_make_a_utilisation_and_survival_is_found_again():
    part = kinetic_utilisation(BOILED, Estimate(0.6, 0.5, 0.7))
    assert (part.low, part.value, part.high) == pytest.approx((0.4759 * 0.5, 0.4759 * 0.6, 0.4759 * 0.7), abs=1e-4)
    assert measured_survival(part.value, BOILED) == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: table_utilisation(-1, 1.05), "minutes: -1 is not valid"),
        (lambda: table_utilisation(60, 12), "gravity_sg: 12 is not valid. .* such as 1.048"),
        (lambda: table_utilisation(60, 1.05, 0), "divisor: 0 is not valid"),
        (
            lambda: measured_utilisation(100, 100, 0.5),
            "bitterness_mg_l: 100 is not valid. 0.5 kg alpha in 100 hL gives",
        ),
        (lambda: measured_utilisation(20, 0, 0.5), "volume_hl: 0 is not valid"),
        (lambda: kinetic_utilisation(BOILED, Estimate(0.9, 0.8, 1.1)), "survival: 1.1 is not valid"),
        (lambda: measured_survival(0.6, BOILED), "survival: .* is not valid. .* cannot hold more"),
        (lambda: measured_survival(0.3, isomerised([])), "iso: 0.0 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
