"""Grain: yields, efficiencies and the wort that comes of a grist."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.contraction import cold_volume_hl
from brewery.science.extract import as_is_from_dry
from brewery.science.grain import (
    DEXTROSE_MONOHYDRATE_EXTRACT_PCT,
    SUCROSE_EXTRACT_PCT,
    GristPart,
    Modification,
    brewhouse_efficiency_pct,
    brewhouse_yield_pct,
    malt_mass_kg,
    modification,
    predicted_plato,
    sugar_extract_kg,
    theoretical_extract_kg,
    windisch_kolbach,
)
from brewery.science.gravity import extract_kg
from brewery.science.ranges import OutOfRange

BASE = GristPart(1600, as_is_from_dry(81.5, 4.2))
WON_KG = extract_kg(cold_volume_hl(100), 12)
grists = st.lists(st.builds(GristPart, st.floats(1, 500), st.floats(50, 85)), min_size=1, max_size=6)


def test_the_yield_of_a_hundred_hectolitres_hot():
    # Calculated: 96 hL · 12.558 kg/hL = 1205.6 kg; after Kunze, with the density of water 75.35 %, without it 75.48 %.
    assert abs(WON_KG - 1205.6) < 0.1
    assert brewhouse_yield_pct(WON_KG, 1600) == pytest.approx(75.35, abs=0.01)
    assert brewhouse_yield_pct(WON_KG / 0.998203, 1600) == pytest.approx(75.48, abs=0.01)


def test_the_efficiency_is_by_what_the_malt_holds():
    # Calculated: 81.5 % dry basis at 4.2 % moisture is 78.08 % as-is, 1249.2 kg of 1600 kg.
    assert theoretical_extract_kg([BASE]) == pytest.approx(1249.2, abs=0.1)
    assert brewhouse_efficiency_pct(WON_KG, theoretical_extract_kg([BASE])) == pytest.approx(96.5, abs=0.05)


def test_the_malt_of_a_target():
    # Calculated: 96 hL of 12 °P from 78.077 % as-is at 95 %.
    assert malt_mass_kg(12, 96, 78.077, 95) == pytest.approx(1625.4, abs=0.2)


def test_a_published_approximation_of_as_is_extract_is_close():
    # Noonan, page 13, as quoted on homebrewtalk.com 195404: DBCG / (1 + moisture) - 0.002 gives 75.2 %.
    exact = as_is_from_dry(78, 3.5)
    assert exact == pytest.approx(75.27, abs=0.005)
    assert exact == pytest.approx(100 * (0.78 / 1.035 - 0.002), abs=0.15)


def test_two_points_of_moisture_and_extract_cost_half_a_degree():
    # probrewer.com, quoting Noonan: a wort of 12 °P falls to about 11.5.
    efficiency = 100 * extract_kg(96, 12) / theoretical_extract_kg([BASE])
    worse = GristPart(1600, as_is_from_dry(79.5, 6.2))
    assert predicted_plato([worse], efficiency, 96) == pytest.approx(11.5, abs=0.05)


@given(grists, st.floats(60, 98), st.floats(8, 18))
def test_the_gravity_foretold_is_that_of_the_extract_won(grist, efficiency, wanted_plato):
    won_kg = theoretical_extract_kg(grist) * efficiency / 100
    cold_hl = won_kg / extract_kg(1, wanted_plato)
    assert predicted_plato(grist, efficiency, cold_hl) == pytest.approx(wanted_plato, abs=1e-6)


@given(st.floats(8, 18), st.floats(1, 500), st.floats(60, 85), st.floats(60, 98))
def test_the_malt_asked_for_makes_the_wort_asked_for(wanted_plato, cold_hl, extract_pct, efficiency):
    mass_kg = malt_mass_kg(wanted_plato, cold_hl, extract_pct, efficiency)
    made = predicted_plato([GristPart(mass_kg, extract_pct)], efficiency, cold_hl)
    assert made == pytest.approx(wanted_plato, abs=1e-6)


def test_sugar_in_the_kettle_counts_whole():
    # 50 kg of extract in 96 hL, whatever the efficiency: by definition.
    with_sugar = predicted_plato([BASE], 95, 96, sugar_extract_kg=50)
    assert extract_kg(96, with_sugar) == pytest.approx(theoretical_extract_kg([BASE]) * 0.95 + 50)


def test_table_sugar_is_all_extract():
    # By the definition of °Plato: grams of sucrose in 100 g of solution.
    assert sugar_extract_kg(12, SUCROSE_EXTRACT_PCT) == 12


def test_a_tenth_of_dextrose_is_water():
    # 180.156 / 198.171, from atomic masses.
    assert sugar_extract_kg(10, DEXTROSE_MONOHYDRATE_EXTRACT_PCT) == pytest.approx(9.09, abs=0.005)


@pytest.mark.parametrize(
    ("points", "grade"),
    [
        (1.2, Modification.VERY_GOOD),
        (1.3, Modification.GOOD),
        (1.9, Modification.GOOD),
        (2.0, Modification.SATISFACTORY),
        (2.6, Modification.SATISFACTORY),
        (2.7, Modification.POOR),
        (3.3, Modification.POOR),
        (3.4, Modification.VERY_POOR),
    ],
)
def test_fine_less_coarse_grades_a_malt(points, grade):
    # e-malt.com: below 1.3 very good, 1.3 to 1.9, 2.0 to 2.6, 2.7 to 3.3, above.
    assert modification(points) is grade


def test_diastatic_power_on_the_other_scale():
    # WK = 3.5 · °Lintner - 16: from memory.
    assert windisch_kolbach(80) == pytest.approx(264)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: GristPart(-1, 80), "mass_kg: -1 is not valid"),
        (lambda: GristPart(1, 0), "extract_as_is_pct: 0 is not valid"),
        (lambda: brewhouse_yield_pct(1, 0), "malt_kg: 0 is not valid"),
        (lambda: brewhouse_efficiency_pct(1, 0), "theoretical_kg: 0 is not valid"),
        (
            lambda: predicted_plato([BASE], 101, 96),
            "efficiency_pct: 101 is not valid. .* wins more than the malt holds",
        ),
        (lambda: predicted_plato([BASE], 95, 20), "more than 25 °P"),
        (lambda: malt_mass_kg(12, 96, 78, 0), "efficiency_pct: 0 is not valid"),
        (lambda: sugar_extract_kg(10, 110), "extract_pct: 110 is not valid"),
        (lambda: modification(40), "fine_coarse_points: 40 is not valid"),
        (lambda: windisch_kolbach(1), "lintner: 1 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
