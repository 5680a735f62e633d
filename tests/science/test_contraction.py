"""Contraction: the density of water against its table, and hot wort made cold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.contraction import (
    WATER_20_KG_L,
    cold_volume_hl,
    hot_volume_hl,
    water_contraction_pct,
    water_density_kg_m3,
)
from brewery.science.ranges import OutOfRange


# Density of water, thoughtco.com; the formula is of Kell, 1975, on another temperature scale.
@pytest.mark.parametrize(
    ("temperature_c", "table", "room"),
    [
        *((0, 999.8395, 0.01), (4, 999.9720, 0.01), (15, 999.1026, 0.01), (20, 998.2071, 0.01)),
        *((25, 997.0479, 0.01), (30, 995.6502, 0.01), (60, 983.2, 0.1), (80, 971.8, 0.1), (100, 958.4, 0.1)),
    ],
)
def test_water_is_as_dense_as_its_table(temperature_c, table, room):
    assert water_density_kg_m3(temperature_c) == pytest.approx(table, abs=room)


@pytest.mark.parametrize(("temperature_c", "density"), [(4, 999.972), (20, 998.204), (95, 961.90), (100, 958.36)])
def test_the_formula_gives_its_own_figures(temperature_c, density):
    # Calculated from Kell, 1975.
    assert water_density_kg_m3(temperature_c) == pytest.approx(density, abs=0.006)


def test_specific_gravity_refers_to_the_same_water():
    assert water_density_kg_m3(20) / 1000 == pytest.approx(WATER_20_KG_L, abs=2e-6)


@pytest.mark.parametrize(("hot_c", "pct"), [(100, 3.99), (95, 3.64), (80, 2.65)])
def test_water_shrinks_as_it_cools(hot_c, pct):
    # Calculated from Kell, 1975. Wort of 100 °C: 4 %, Zentralblatt für das Deutsche Reich 46 (1918) 1011.
    assert water_contraction_pct(hot_c) == pytest.approx(pct, abs=0.01)


def test_a_hundred_hectolitres_hot_are_96_cold():
    # "hot × 0.96 = cold": probrewer.com, losses.
    assert cold_volume_hl(100) == pytest.approx(96, abs=1e-9)


@given(st.floats(1, 1000), st.floats(0.1, 10))
def test_cold_is_less_than_hot_and_leads_back_to_it(hot_hl, contraction):
    cold = cold_volume_hl(hot_hl, contraction)
    assert cold < hot_hl
    assert hot_volume_hl(cold, contraction) == pytest.approx(hot_hl)


# A thousandth of a degree is as little as anybody reads; less drowns in the rounding of a float.
@given(st.floats(4, 99), st.floats(0.001, 1))
def test_water_above_4_degrees_only_thins_as_it_warms(temperature_c, warmer):
    assert water_density_kg_m3(temperature_c + warmer) <= water_density_kg_m3(temperature_c)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: water_density_kg_m3(101), "temperature_c: 101 is not valid"),
        (lambda: cold_volume_hl(0), "hot_hl: 0 is not valid"),
        (lambda: hot_volume_hl(96, 40), "contraction_pct: 40 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
