"""Attenuation: worked figures, plant means, and what fermentation cannot do."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.attenuation import (
    alcohol_by_volume_pct,
    alcohol_by_weight_pct,
    apparent_attenuation_pct,
    apparent_extract,
    attenuation,
    beer_sg_by_parts,
    co2_formed_kg_per_hl,
    fermentation_balance,
    original_extract,
    real_degree_of_fermentation_pct,
    real_extract,
    real_extract_by_alcohol,
)
from brewery.science.gravity import specific_gravity
from brewery.science.ranges import OutOfRange

beers = st.tuples(st.floats(6, 25), st.floats(0, 1)).map(lambda pair: (pair[0], pair[0] * pair[1]))

# Alcohol in % by weight, real extract and measured original extract, °P: plant means of Cutaia, Reid and Speers,
# J. Inst. Brew. 115(4) 318, 2009.
PLANT_MEANS = [
    (3.82, 3.80, 11.34),
    (4.21, 4.74, 12.75),
    (4.72, 5.28, 14.08),
    (5.14, 4.88, 14.54),
    (6.56, 5.38, 17.67),
]


@pytest.mark.parametrize(
    ("original", "apparent", "real", "by_weight", "by_volume", "apparent_pct", "real_pct"),
    [
        (10, 1.8, 3.2826, 3.4275, 4.365, 82.00, 68.33),
        (11, 2.2, 3.7910, 3.6984, 4.718, 80.00, 66.84),
        (12, 2.5, 4.2176, 4.0146, 5.127, 79.17, 66.30),
        (12.5, 2.4, 4.2261, 4.2799, 5.464, 80.80, 67.67),
        (14, 3.0, 4.9888, 4.7002, 6.014, 78.57, 66.07),
        (16, 3.4, 5.6781, 5.4445, 6.978, 78.75, 66.46),
        (18, 4.0, 6.5312, 6.1182, 7.860, 77.78, 65.94),
    ],
)
def test_two_extracts_tell_of_a_beer(original, apparent, real, by_weight, by_volume, apparent_pct, real_pct):
    # Calculated from Balling's formula (cargillfoods.com, Brewing calculations); 0.1808 and 0.8192 from memory.
    found = attenuation(original, apparent)
    assert found.real_extract.value == pytest.approx(real, abs=1e-4)
    assert found.alcohol_by_weight_pct == pytest.approx(by_weight, abs=1e-4)
    assert found.alcohol_by_volume_pct.value == pytest.approx(by_volume, abs=0.001)
    assert found.apparent_pct == pytest.approx(apparent_pct, abs=0.01)
    assert found.real_pct == pytest.approx(real_pct, abs=0.01)


def test_the_intervals_say_how_far_the_formula_is_off():
    found = attenuation(12, 2.5)
    assert found.alcohol_by_volume_pct.high - found.alcohol_by_volume_pct.low == pytest.approx(0.4)
    assert found.real_extract.high - found.real_extract.low == pytest.approx(0.4)


@pytest.mark.parametrize(("by_weight", "real", "measured"), PLANT_MEANS)
def test_balling_meets_the_plant_means(by_weight, real, measured):
    assert original_extract(by_weight, real) == pytest.approx(measured, abs=0.30)


@pytest.mark.parametrize(
    ("by_weight", "real", "calculated"),
    [(3.82, 3.80, 11.24), (4.21, 4.74, 12.86), (4.72, 5.28, 14.31), (5.14, 4.88, 14.70), (6.56, 5.38, 17.70)],
)
def test_balling_on_the_plant_means_gives_its_own_figures(by_weight, real, calculated):
    # Calculated from the plant means of Cutaia, Reid and Speers 2009.
    assert original_extract(by_weight, real) == pytest.approx(calculated, abs=0.006)


def test_the_constants_of_balling_add_up():
    # 2.0665 g extract give 1 g alcohol, 0.9565 g CO2, 0.11 g yeast: "Balling's formula - scrutiny of a brewing dogma".
    balance = fermentation_balance(12, 2.5)
    lost = balance.alcohol_g + balance.co2_g + balance.yeast_g
    assert lost / balance.alcohol_g == pytest.approx(2.0665, abs=1e-9)


def test_what_becomes_of_a_hundred_grams_of_beer():
    # Calculated from Balling's constants.
    balance = fermentation_balance(12, 2.5)
    assert balance.wort_g == pytest.approx(104.282, abs=0.001)
    assert balance.alcohol_g == pytest.approx(4.015, abs=0.001)
    assert balance.co2_g == pytest.approx(3.840, abs=0.001)
    assert balance.yeast_g == pytest.approx(0.442, abs=0.001)
    assert balance.volume_change_pct == pytest.approx(-0.44, abs=0.01)
    assert co2_formed_kg_per_hl(12, 2.5) == pytest.approx(3.870, abs=0.001)


@given(beers)
def test_wort_becomes_beer_gas_and_yeast_and_nothing_else(beer):
    original, apparent = beer
    balance = fermentation_balance(original, apparent)
    assert balance.wort_g == pytest.approx(100 + balance.co2_g + balance.yeast_g)
    real_g = attenuation(original, apparent).real_extract.value
    fermented_g = balance.wort_g * original / 100 - real_g
    assert fermented_g == pytest.approx(balance.alcohol_g + balance.co2_g + balance.yeast_g)


@given(beers)
def test_the_original_extract_is_found_again(beer):
    original, apparent = beer
    real = real_extract(original, apparent)
    assert original_extract(alcohol_by_weight_pct(original, real), real) == pytest.approx(original, abs=1e-9)


@given(beers)
def test_the_apparent_extract_is_found_again_from_its_attenuation(beer):
    original, apparent = beer
    assert apparent_extract(original, apparent_attenuation_pct(original, apparent)) == pytest.approx(apparent, abs=1e-9)


@given(beers)
def test_real_extract_is_the_published_mean_of_the_two(beer):
    # 0.1808 and 0.8192: from memory.
    original, apparent = beer
    assert real_extract(original, apparent) == pytest.approx(0.1808 * original + 0.8192 * apparent)


def test_unfermented_wort_has_no_alcohol():
    assert attenuation(11.81630176372431, 11.81630176372431).alcohol_by_volume_pct.value == 0


@given(beers)
def test_real_extract_lies_between_the_two_and_alcohol_is_never_less_than_none(beer):
    original, apparent = beer
    assert apparent - 1e-9 <= real_extract(original, apparent) <= original + 1e-9
    found = attenuation(original, apparent)
    assert 0 <= found.alcohol_by_volume_pct.low <= found.alcohol_by_volume_pct.value
    assert -1e-9 <= found.real_pct <= found.apparent_pct + 1e-9


@given(beers, st.floats(0, 1))
def test_further_fermented_is_stronger(beer, further):
    original, apparent = beer
    weaker, stronger = (
        attenuation(original, end).alcohol_by_volume_pct.value for end in (apparent, apparent * further)
    )
    # The table gives water itself a gravity of 1.000012, so that much room at nought.
    assert stronger >= weaker * (1 - 1.2e-5)


def test_the_rule_lies_a_tenth_below_real_extract_from_measured_alcohol():
    # cargillfoods.com, Brewing calculations, against 0.1808 and 0.8192 (memory).
    difference = real_extract_by_alcohol(2.5, 4.0146) - real_extract(12, 2.5)
    assert 0.1 <= difference <= 0.2


def test_alcohol_by_volume_agrees_with_the_rounded_divisor():
    # cargillfoods.com: alcohol by weight · SG / 0.791.
    assert alcohol_by_volume_pct(4.0146, specific_gravity(2.5)) == pytest.approx(4.0146 * 1.00976 / 0.791, abs=0.005)


def test_beer_weighs_what_its_alcohol_and_its_extract_do():
    # Tabarié's formula, MEBAK, U-tube: SG of beer = SG of alcohol + SG of extract - 1.
    assert beer_sg_by_parts(0.9929, 1.0167) == pytest.approx(1.0096)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: attenuation(12, 13), "apparent_plato: 13 is not valid. It must be -3 to 12 °P. Extract does not grow"),
        (lambda: attenuation(0, 0), "original_plato: 0 is not valid"),
        (lambda: alcohol_by_weight_pct(12, 12.5), "real_plato: 12.5 is not valid"),
        (lambda: real_degree_of_fermentation_pct(12, 13), "real_plato: 13 is not valid"),
        (lambda: apparent_extract(12, 150), "apparent_pct: 150 is not valid"),
        (lambda: apparent_attenuation_pct(12, 13), "apparent_plato: 13 is not valid"),
        (lambda: real_extract_by_alcohol(2.5, 40), "by_weight_pct: 40 is not valid"),
        (lambda: alcohol_by_volume_pct(4, 2.5), "beer_sg: 2.5 is not valid"),
        (lambda: original_extract(4, -1), "real_plato: -1 is not valid"),
        (lambda: beer_sg_by_parts(2, 1.01), "alcohol_sg: 2 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
