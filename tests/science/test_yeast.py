"""Yeast: cells wanted, cells held, and what is not pitched."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.ranges import OutOfRange
from brewery.science.yeast import (
    CELLS_PER_ML,
    PITCHING_RATES,
    cells_wanted,
    counted_cells_per_ml,
    counted_viability_pct,
    has_too_much_wild_yeast,
    living_cells,
    slurry_kg,
    slurry_l,
)


def test_a_hundred_hectolitres_of_twelve_plato():
    # 1 million living cells a mL and °P, byo.com, pitching rates; the rest is calculated.
    cells = cells_wanted(1.0, 12, 100)
    assert cells == pytest.approx(1.2e14, rel=1e-12)
    assert slurry_l(cells, 1.2e9, 92) == pytest.approx(108.70, abs=0.01)
    assert slurry_l(cells, 1.2e9, 80) == pytest.approx(125.00, abs=0.01)


def test_half_a_litre_a_hectolitre_is_fifteen_million_of_thick_slurry():
    # 0.5 L thick slurry a hL is 15 million a mL: Narziss, Abriss, as summarised on aussiehomebrewer.com 64652.
    pitched = 15e6 * 1e5
    assert slurry_l(pitched, 3.0e9, 100) == pytest.approx(0.5, rel=1e-9)
    assert living_cells(0.5, 3.0e9, 100) / 1e5 == pytest.approx(15e6)


def test_the_commercial_rule_is_a_million_for_each_degree():
    # 12 million a mL at 12 °P: byo.com, pitching rates.
    assert cells_wanted(1.0, 12, 1) / 1e5 == pytest.approx(12e6)


def test_counts_of_slurries_differ_by_two_and_a_half_so_none_is_assumed():
    # 1.2e9 at half settled: quoted on homebrewtalk.com 735866; 3e9 follows from Narziss, as above; yeast
    # solids of 4.5e9, 40 to 60 % of a crop: a yeast supplier, quoted on gowanusbrewery.wordpress.com.
    thin, thick, solids = 1.2e9, 3.0e9, 4.5e9
    assert thick / thin == pytest.approx(2.5)
    assert thin < 0.4 * solids < 0.6 * solids < thick
    for cells in (thin, thick, solids):
        CELLS_PER_ML.check("cells_per_ml", cells)


@pytest.mark.parametrize("kg_l", [1.0, 1.1])
def test_slurry_weighs_about_as_water(kg_l):
    # From memory: 1.0 to 1.1 kg in a litre.
    assert slurry_kg(108.70, kg_l) == pytest.approx(108.70 * kg_l)


@pytest.mark.parametrize(("dead", "pct"), [(2, 98), (5, 95), (0, 100)])
def test_dead_cells_of_a_hundred_are_what_viability_lacks(dead, pct):
    # MEBAK M-350.18.518: fewer than 2 % dead are aimed at, 5 % and more are excluded, freshly grown yeast has none.
    assert counted_viability_pct(100 - dead, dead) == pct


def test_an_american_text_is_answered():
    # madisonbeerreview.com 2012/04: 5.5 US gallons of 15 °P at 0.75 want 234 thousand million.
    volume_hl = pint.UnitRegistry().Quantity(5.5, "gallon").to("hectoliter").magnitude
    assert cells_wanted(0.75, 15, volume_hl) / 1e9 == pytest.approx(234, abs=0.5)


def test_published_rates_stand_side_by_side():
    # Fix: 0.75 for ale and 1.5 for lager; madisonbeerreview.com 1.25; byo.com 1.0.
    assert [rate.million_per_ml_plato for rate in PITCHING_RATES] == [0.75, 1.5, 1.25, 1.0]
    assert all(rate.source for rate in PITCHING_RATES)


def test_a_count_becomes_cells_and_viability():
    # 0.1 µL a square (Neubauer): from memory; 60 at 1 in 200 is 1.2e8, 285 of 300 living is 95 %.
    assert counted_cells_per_ml(60, 200) == pytest.approx(1.2e8)
    assert counted_viability_pct(285, 15) == pytest.approx(95)


@given(st.floats(1e12, 1e15), st.floats(1e8, 5e9), st.floats(10, 100))
def test_the_slurry_holds_the_cells_asked_for(cells, per_ml, viability):
    litres = slurry_l(cells, per_ml, viability)
    assert living_cells(litres, per_ml, viability) == pytest.approx(cells)
    assert slurry_kg(litres, 1.05) == pytest.approx(1.05 * litres)


@given(st.floats(1e12, 1e15), st.floats(1e8, 5e9), st.floats(10, 90), st.floats(0, 10))
def test_deader_yeast_takes_more_of_it(cells, per_ml, viability, more):
    assert slurry_l(cells, per_ml, viability) >= slurry_l(cells, per_ml, viability + more)


def test_a_hundred_wild_cells_in_a_million_are_too_many_and_99_are_not():
    # Richards, J. Inst. Brew. 1968.
    assert has_too_much_wild_yeast(100)
    assert not has_too_much_wild_yeast(99)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: cells_wanted(12, 12, 100), "million_per_ml_plato: 12 is not valid. .* 0.75 for ales"),
        (lambda: cells_wanted(1, 40, 100), "extract_plato: 40 is not valid"),
        (lambda: cells_wanted(1, 12, 0), "volume_hl: 0 is not valid"),
        (lambda: slurry_l(1e14, 1200, 92), "cells_per_ml: 1200 is not valid"),
        (lambda: slurry_l(1e14, 1.2e9, 0), "viability_pct: 0 is not valid"),
        (lambda: slurry_l(-1, 1.2e9, 92), "living_cells: -1 is not valid"),
        (lambda: living_cells(-1, 1.2e9, 92), "slurry_litres: -1 is not valid"),
        (lambda: slurry_kg(1, 2), "density_kg_l: 2 is not valid"),
        (lambda: counted_cells_per_ml(60, 0), "dilution: 0 is not valid"),
        (lambda: counted_viability_pct(0, 0), "living: 0 is not valid. Nothing was counted"),
        (lambda: has_too_much_wild_yeast(-1), "per_million_cells: -1 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
