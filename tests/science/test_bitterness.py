"""Bitterness: readings, doses and predictions."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.bitterness import (
    HopAddition,
    alpha_mass_g,
    bittering_mass_kg,
    bitterness_mg_l,
    bitterness_units,
    hop_mass_kg,
    iso_extract_mass_g,
    iso_extract_volume_ml,
    iso_mass_g,
    precision,
    predicted_bitterness,
    rescaled_mass_kg,
)
from brewery.science.cultivars import CULTIVARS
from brewery.science.estimates import Estimate
from brewery.science.hops import alpha_in_storage
from brewery.science.ranges import OutOfRange
from brewery.science.storage import Stay

targets, volumes = st.floats(1, 100), st.floats(1, 1000)
alphas, parts = st.floats(1, 20), st.floats(0.05, 0.6)


def known(mass_kg: float, alpha_pct: float, utilisation: float) -> HopAddition:
    return HopAddition(mass_kg, Estimate.exact(alpha_pct), Estimate.exact(utilisation))


def test_bitterness_units_are_fifty_times_the_absorbance():
    # 0.622 is 31.1: ASBC as transcribed on realbeer.com; 0.5 is 25: hvg-germany.de, methods for wort and beer.
    assert bitterness_units(0.622) == pytest.approx(31.1, abs=1e-9)
    assert bitterness_units(0.5) == pytest.approx(25, abs=1e-9)


def test_thinned_wort_counts_double():
    # 5 mL wort and 5 mL water: handbucher.com 333008, EBC bitter units.
    assert bitterness_units(0.5, dilution=2) == pytest.approx(50)


def test_the_precision_at_25_units():
    # r = -0.36 + 0.05 m, R = 0.72 + 0.14 m: handbucher.com 333008, EBC bitter units.
    at_25 = precision(25)
    assert (at_25.within, at_25.between) == pytest.approx((0.89, 4.22))


def test_the_examination_text_is_answered():
    # brainscape.com, Hop calculations: 26 units, 100 hL, 10 % alpha, 25 % used: 260 g, 1040 g and 10.4 kg.
    assert iso_mass_g(26, 100) == pytest.approx(260, abs=1e-9)
    assert alpha_mass_g(26, 100, 0.25) == pytest.approx(1040, abs=1e-9)
    assert hop_mass_kg(26, 100, 10, 0.25) == pytest.approx(10.4, abs=1e-9)
    assert bitterness_mg_l(10.4, 10, 0.25, 100) == pytest.approx(26, abs=1e-9)


def test_bitterness_is_put_right_after_fermentation():
    # brainscape.com, Hop calculations: 5 mg/L in 100 hL, 30 % by weight, 90 % yield, 1.075 g/mL: 185.18 g, 172.26 mL.
    mass_g = iso_extract_mass_g(5, 100, 0.30, 0.90)
    assert mass_g == pytest.approx(185.18, abs=0.01)
    assert iso_extract_volume_ml(mass_g, 1.075) == pytest.approx(172.26, abs=0.01)


def test_a_weaker_lot_is_dosed_higher():
    # Calculated: 10.4 · 10.0 / 8.6; and 25 mg/L in 100 hL at 28 % used, 6.3 % and 5.2244 % alpha.
    assert rescaled_mass_kg(10.4, 10.0, 8.6) == pytest.approx(12.093, abs=0.001)
    planned = hop_mass_kg(25, 100, 6.3, 0.28)
    assert planned == pytest.approx(14.17, abs=0.005)
    assert rescaled_mass_kg(planned, 6.3, 5.2244) == pytest.approx(17.09, abs=0.005)
    assert bitterness_mg_l(planned, 5.2244, 0.28, 100) == pytest.approx(20.7, abs=0.05)


@given(st.floats(0.1, 100), alphas, alphas, parts, volumes)
def test_rescaling_brings_the_same_bitterness(mass_kg, planned, actual, part, volume_hl):
    rescaled = rescaled_mass_kg(mass_kg, planned, actual)
    assert bitterness_mg_l(rescaled, actual, part, volume_hl) == pytest.approx(
        bitterness_mg_l(mass_kg, planned, part, volume_hl)
    )


@given(st.floats(-2, 30), st.floats(0, 400))
def test_a_lot_in_store_is_dosed_higher_by_exactly_what_it_lost(store_c, days):
    rate = CULTIVARS["Cascade"].rate_per_day
    kept = alpha_in_storage(Estimate.exact(6.3), rate, [Stay(days, store_c)])
    first, later = (hop_mass_kg(25, 100, alpha, 0.28) for alpha in (6.3, kept.alpha_pct.value))
    assert later / first == pytest.approx(math.exp(rate.value * days * 2 ** ((store_c - 20) / 15)))


@given(targets, volumes, alphas, parts)
def test_the_dose_brings_its_target(target, volume_hl, alpha, part):
    mass_kg = hop_mass_kg(target, volume_hl, alpha, part)
    assert bitterness_mg_l(mass_kg, alpha, part, volume_hl) == pytest.approx(target)


@given(targets, volumes, st.lists(st.tuples(st.floats(0, 0.3), alphas, parts), max_size=4), alphas, parts)
def test_the_bittering_hops_take_what_the_others_leave(share, volume_hl, others, alpha, part):
    aroma = [known(mass * volume_hl, one, used) for mass, one, used in others]
    target = min(200, share + predicted_bitterness(aroma, volume_hl).value)
    if predicted_bitterness(aroma, volume_hl).value <= target:
        bittering = known(bittering_mass_kg(target, volume_hl, aroma, alpha, part), alpha, part)
        assert predicted_bitterness([*aroma, bittering], volume_hl).value == pytest.approx(target)


def test_exact_figures_predict_exactly():
    predicted = predicted_bitterness([known(10.4, 10, 0.25)], 100)
    assert (predicted.low, predicted.value, predicted.high) == pytest.approx((26, 26, 26))
    assert predicted_bitterness([], 100) == Estimate.exact(0)


def test_assays_err_apart_and_utilisation_errs_for_all():
    # By hand: two additions of 10 mg/L. Assays ± 10 % each: 1 and 1, as squares 1.414. Utilisation ± 20 %: 2 and 2, 4.
    one = HopAddition(4, Estimate(10, 9, 11), Estimate(0.25, 0.20, 0.30))
    predicted = predicted_bitterness([one, one], 100)
    assert predicted.value == pytest.approx(20)
    assert predicted.high - predicted.value == pytest.approx(math.sqrt(2 + 16))
    assert predicted.value - predicted.low == pytest.approx(math.sqrt(2 + 16))


def test_the_interval_holds_19_of_20_brews_that_chance_makes():
    """The reference draws assays and the brewhouse's utilisation at random, 20,000 times."""
    chance = random.Random(1)
    shares = ((6.0, 8.0), (3.0, 5.0), (2.0, 12.0))
    additions = [
        HopAddition(mass, Estimate.give_or_take(alpha, alpha * 0.1), Estimate.give_or_take(0.28, 0.28 * 0.08))
        for mass, alpha in shares
    ]
    predicted, inside = predicted_bitterness(additions, 50), 0
    for _ in range(20_000):
        used = chance.gauss(0.28, 0.28 * 0.08 / 1.96)
        brought = sum(mass * chance.gauss(alpha, alpha * 0.1 / 1.96) * used * 100 / 50 for mass, alpha in shares)
        inside += predicted.low <= brought <= predicted.high
    assert inside / 20_000 == pytest.approx(0.95, abs=0.006)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: bitterness_units(5), "a275: 5 is not valid"),
        (lambda: bitterness_units(0.5, 0.5), "dilution: 0.5 is not valid"),
        (lambda: precision(3), "bitterness_bu: 3 is not valid"),
        (lambda: hop_mass_kg(26, 100, 0, 0.25), "alpha_pct: 0 is not valid"),
        (lambda: hop_mass_kg(26, 100, 10, 25), "utilisation: 25 is not valid. .* Write a share of one: 0.25 for 25 %"),
        (lambda: hop_mass_kg(-1, 100, 10, 0.25), "target_mg_l: -1 is not valid"),
        (lambda: bitterness_mg_l(-1, 10, 0.25, 100), "mass_kg: -1 is not valid"),
        (lambda: bitterness_mg_l(1, 10, 1.25, 100), "utilisation: 1.25 is not valid"),
        (lambda: rescaled_mass_kg(1, 10, 0), "alpha_pct: 0 is not valid"),
        (lambda: iso_extract_mass_g(5, 100, 30, 0.9), "iso_part: 30 is not valid"),
        (lambda: iso_extract_volume_ml(5, 1075), "density_g_ml: 1075 is not valid"),
        (
            lambda: bittering_mass_kg(20, 100, [known(10.4, 10, 0.25)], 10, 0.25),
            "target_mg_l: 20 is not valid. The other additions bring 26.0 mg/L already",
        ),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
