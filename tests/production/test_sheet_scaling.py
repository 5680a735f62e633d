"""Scaling a brew sheet: every amount in proportion, exact to the micro-unit, and what must add up adds up."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.production.queries.sheet_contents import GrainLine, SaltLine, SheetContent
from brewery.production.queries.sheet_scaling import grain_micro, grist_micro, scaled
from inventory.models import Material
from tests.brewhouse import Brewhouse, micro
from tests.production.sheets import content

MALTS = [
    Material(pk=number, code=f"M{number}", name=f"Malt {number}", kind="malt", base_unit="kg") for number in range(4)
]
amounts = st.integers(min_value=1, max_value=10**13)


def bare(**said: Any) -> SheetContent:
    full = {
        "original_gravity_milli_p": 12_000,
        "final_gravity_milli_p": 2_500,
        "yield_ppm": 750_000,
        "boil_minutes": 60,
    }
    return SheetContent(**{"cold_wort_micro": micro("30 hL"), **full, **said})


def test_a_sheet_for_twice_as_much_has_twice_of_everything_that_is_weighed(brewhouse: Brewhouse):
    once = content(brewhouse)
    twice = scaled(once, micro("60 hL"))
    assert (twice.mash_liquor_micro, twice.sparge_liquor_micro) == (micro("40 hL"), micro("36 hL"))
    assert [(hop.weight_micro, hop.alpha_micro) for hop in twice.hops] == [
        (None, micro("500 g")),
        (micro("6 kg"), None),
    ]
    assert [salt.quantity_micro for salt in twice.salts] == [micro("800 g")]
    assert (twice.grains, twice.mash_steps, twice.ions) == (once.grains, once.mash_steps, once.ions)
    assert scaled(bare(), micro("60 hL")).mash_liquor_micro is None


def test_grain_by_share_weighs_what_the_gravity_needs_at_the_yield(brewhouse: Brewhouse):
    """12 °P are 12.558 kg of extract in a hectolitre: fit to the ASBC table (liquisearch.com, Brix tables)."""
    sheet = content(brewhouse)
    assert grist_micro(sheet) / 1e6 == pytest.approx(30 * 12.558 / 0.75, abs=0.1)
    pils, munich = grain_micro(sheet)
    assert pils + munich == grist_micro(sheet)
    assert abs(Fraction(pils, grist_micro(sheet)) - Fraction(9, 10)) <= Fraction(1, grist_micro(sheet))
    assert grain_micro(bare()) == []


@given(
    weights=st.lists(amounts, min_size=1, max_size=4),
    written=amounts,
    wanted=amounts.filter(lambda wanted: wanted < 10**12),
)
def test_scaled_grain_adds_up_and_each_part_is_within_two_micro_units(weights: list[int], written: int, wanted: int):
    grains = tuple(GrainLine(malt, weight_micro=weight) for malt, weight in zip(MALTS, weights, strict=False))
    parts = grain_micro(scaled(bare(cold_wort_micro=written, grains=grains), wanted))
    exact = [Fraction(weight * wanted, written) for weight in weights]
    assert abs(sum(parts) - sum(exact)) <= Fraction(1, 2)
    assert all(abs(part - one) < 2 for part, one in zip(parts, exact, strict=True))


@given(quantity=amounts, written=amounts, wanted=amounts)
def test_one_amount_is_rounded_half_even_once(quantity: int, written: int, wanted: int):
    salt = SaltLine(MALTS[0], "mash", quantity)
    (found,) = scaled(bare(cold_wort_micro=written, salts=(salt,)), wanted).salts
    assert found.quantity_micro == round(Fraction(quantity * wanted, written))


def test_a_half_is_rounded_to_the_even_one():
    salts = tuple(SaltLine(MALTS[0], "mash", quantity) for quantity in (1, 3, 5))
    assert [salt.quantity_micro for salt in scaled(bare(cold_wort_micro=2, salts=salts), 1).salts] == [0, 2, 2]
