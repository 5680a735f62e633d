"""Salts: ions by the gram, held against published figures and the trap of the hydrates."""

import pint
import pytest

from brewery.science.salts import (
    CALCIUM_CHLORIDE,
    CALCIUM_CHLORIDE_DIHYDRATE,
    CALCIUM_SULFATE,
    CHALK,
    GYPSUM,
    SALTS,
    Ion,
    bicarbonate_of_chalk_mg_per_g,
)

US_GALLON_L = 3.785411784
CA, MG, NA, CL = Ion.CALCIUM, Ion.MAGNESIUM, Ion.SODIUM, Ion.CHLORIDE


# Calculated from atomic masses.
@pytest.mark.parametrize(
    ("formula", "ions"),
    [
        ("CaSO4·2H2O", {CA: 232.8, Ion.SULFATE: 557.9}),
        ("CaCl2·2H2O", {CA: 272.6, CL: 482.3}),
        ("CaCl2", {CA: 361.1, CL: 638.9}),
        ("CaSO4", {CA: 294.4, Ion.SULFATE: 705.6}),
        ("MgSO4·7H2O", {MG: 98.6, Ion.SULFATE: 389.7}),
        ("MgCl2·6H2O", {MG: 119.6, CL: 348.8}),
        ("NaCl", {NA: 393.4, CL: 606.6}),
        ("NaHCO3", {NA: 273.7, Ion.BICARBONATE: 726.3}),
        ("CaCO3", {CA: 400.4, Ion.CARBONATE: 599.6}),
        ("Ca(OH)2", {CA: 540.9, Ion.HYDROXIDE: 459.1}),
    ],
)
def test_a_gram_of_each_salt(formula, ions):
    assert SALTS[formula].mg_per_g() == pytest.approx(ions, abs=0.15)


@pytest.mark.parametrize(
    ("salt", "ion", "by_gallon", "room"),
    [
        (GYPSUM, CA, 61.5, 0.1),
        (GYPSUM, Ion.SULFATE, 147.5, 0.2),
        (CALCIUM_CHLORIDE_DIHYDRATE, CA, 72.0, 0.1),
        (CALCIUM_CHLORIDE_DIHYDRATE, CL, 127.0, 0.5),
    ],
)
def test_published_figures_by_the_us_gallon(salt, ion, by_gallon, room):
    # Gypsum: mainbrew.com; calcium chloride: stormbrewing.com.au; both rounded.
    assert salt.mg_per_g()[ion] / US_GALLON_L == pytest.approx(by_gallon, abs=room)


def test_four_grams_in_a_us_barrel_are_ten_of_calcium_only_where_anhydrous():
    # cargillfoods.com, Brewing calculations: 4.0 g CaSO4 or 3.25 g CaCl2 in a barrel are 10 mg/L calcium.
    barrel_l = pint.UnitRegistry().Quantity(1, "beer_barrel").to("liter").magnitude
    assert barrel_l == pytest.approx(117.348, abs=0.001)
    assert CALCIUM_SULFATE.mg_per_g()[CA] * 4.0 / barrel_l == pytest.approx(10.0, abs=0.1)
    assert CALCIUM_CHLORIDE.mg_per_g()[CA] * 3.25 / barrel_l == pytest.approx(10.0, abs=0.1)
    assert GYPSUM.mg_per_g()[CA] * 4.0 / barrel_l == pytest.approx(7.94, abs=0.01)


def test_chalk_that_gas_dissolves_becomes_more_bicarbonate_than_it_weighs():
    # CaCO3 + CO2 + H2O = Ca + 2 HCO3: from atomic masses.
    assert bicarbonate_of_chalk_mg_per_g() == pytest.approx(1219, abs=1)


def test_ions_and_water_are_all_that_a_salt_is():
    for salt in SALTS.values():
        dry = sum(salt.mg_per_g().values())
        assert dry + 1000 * salt.water * 18.015 / salt.mass == pytest.approx(1000)
    assert CHALK.mass == pytest.approx(100.086, abs=0.001)
