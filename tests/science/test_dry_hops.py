"""Dry hops by weight and by oil."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.dry_hops import dry_hops_by_oil_kg, dry_hops_by_weight_kg
from brewery.science.ranges import OutOfRange


def test_four_grams_a_litre_are_forty_kilograms_in_a_hundred_hectolitres():
    assert dry_hops_by_weight_kg(4, 100) == pytest.approx(40)


def test_two_millilitres_of_oil_a_hectolitre():
    # 2 mL hop oil a hL: brewcraft.co.za. Hops of 1.6 mL in 100 g: 200 mL oil are in 12.5 kg, calculated.
    assert dry_hops_by_oil_kg(2, 100, 1.6) == pytest.approx(12.5)


@given(st.floats(0.1, 50), st.floats(1, 500), st.floats(0.2, 4))
def test_the_hops_hold_the_oil_asked_for(dose, volume_hl, oil):
    assert dry_hops_by_oil_kg(dose, volume_hl, oil) * 10 * oil == pytest.approx(dose * volume_hl)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: dry_hops_by_weight_kg(400, 1), "dose_g_l: 400 is not valid"),
        (lambda: dry_hops_by_weight_kg(4, 0), "volume_hl: 0 is not valid"),
        (lambda: dry_hops_by_oil_kg(2, 100, 0), "oil_ml_100_g: 0 is not valid. .* certificate"),
        (lambda: dry_hops_by_oil_kg(-2, 100, 1), "dose_ml_hl: -2 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
