"""Liquor: ions with salts in them, and the salts that come nearest to a target."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.liquor import (
    USUAL_IONS,
    alkalinity_mg_l,
    residual_alkalinity_mg_l,
    salts_for,
    with_salts,
)
from brewery.science.ranges import OutOfRange
from brewery.science.salts import (
    CALCIUM_CHLORIDE,
    CALCIUM_CHLORIDE_DIHYDRATE,
    CALCIUM_SULFATE,
    CHALK,
    EPSOM_SALT,
    GYPSUM,
    MAGNESIUM_CHLORIDE,
    SODIUM_BICARBONATE,
    SODIUM_CHLORIDE,
    Ion,
)

SOFT = {Ion.CALCIUM: 10.0, Ion.MAGNESIUM: 2.0, Ion.SODIUM: 5.0, Ion.CHLORIDE: 8.0, Ion.SULFATE: 6.0}
SIX = (GYPSUM, CALCIUM_CHLORIDE_DIHYDRATE, EPSOM_SALT, SODIUM_CHLORIDE, SODIUM_BICARBONATE, MAGNESIUM_CHLORIDE)
IONS = (Ion.CALCIUM, Ion.MAGNESIUM, Ion.SODIUM, Ion.CHLORIDE, Ion.SULFATE, Ion.BICARBONATE)
targets = st.fixed_dictionaries({ion: st.floats(0, 300) for ion in IONS})


def misses(liquor, target, grams, volume_hl):
    made = with_salts(liquor, grams, volume_hl)
    wanted = {ion: target.get(ion, liquor.get(ion, 0)) for ion in {*made, *target}}
    return {ion: wanted[ion] - made.get(ion, 0) for ion in wanted}


def test_salts_add_to_what_the_water_holds():
    # 20 g/hL of gypsum: 0.2 g/L · 232.8 mg/g calcium and 557.9 sulfate, from atomic masses.
    made = with_salts(SOFT, {GYPSUM: 2000}, 100)
    assert made[Ion.CALCIUM] == pytest.approx(10 + 46.56, abs=0.01)
    assert made[Ion.SULFATE] == pytest.approx(6 + 111.58, abs=0.01)
    assert made[Ion.SODIUM] == 5


@given(st.lists(st.floats(0, 5000), min_size=6, max_size=6), st.floats(1, 500))
def test_salts_that_can_meet_a_target_do(grams, volume_hl):
    planned = {salt: mass * volume_hl / 100 for salt, mass in zip(SIX, grams, strict=True)}
    target = with_salts(SOFT, planned, volume_hl)
    found = salts_for(SOFT, target, SIX, volume_hl)
    assert max(abs(miss) for miss in misses(SOFT, target, found, volume_hl).values()) < 0.001


@given(targets)
def test_no_other_salts_come_nearer(target):
    """The oracle are the conditions of Karush, Kuhn and Tucker: the problem is convex, so they decide.

    A salt that is used may not come nearer by more or less of it; one that is not used may not by more.
    """
    found = salts_for(SOFT, target, SIX, 1)
    missed = misses(SOFT, target, found, 1)
    for salt, grams in found.items():
        pull = sum(mg * missed[ion] for ion, mg in salt.mg_per_g().items())
        assert grams >= 0
        assert pull <= 0.01 * max(salt.mg_per_g().values())
        if grams > 0:
            assert abs(pull) <= 0.01 * max(salt.mg_per_g().values())


def test_trying_every_amount_finds_nothing_nearer():
    """The oracle tries three salts in steps of a gram a hectolitre."""
    target, three = {Ion.CALCIUM: 30.0, Ion.CHLORIDE: 40.0, Ion.SULFATE: 25.0}, SIX[:3]
    ours = sum(miss**2 for miss in misses(SOFT, target, salts_for(SOFT, target, three, 1), 1).values())
    tried = (
        sum(miss**2 for miss in misses(SOFT, target, dict(zip(three, grams, strict=True)), 1).values())
        for grams in itertools.product(range(16), repeat=3)
    )
    assert ours <= min(tried)


def test_an_ion_without_a_target_is_left_as_it_is():
    found = salts_for(SOFT, {Ion.CHLORIDE: 60}, [SODIUM_CHLORIDE, CALCIUM_CHLORIDE], 10)
    made = with_salts(SOFT, found, 10)
    assert made[Ion.CHLORIDE] < 60
    assert 0 < made[Ion.SODIUM] - 5 < 52 * 22.99 / 35.45


def test_water_that_has_too_much_gets_nothing():
    assert salts_for(SOFT, dict.fromkeys(SOFT, 0.0), SIX, 10) == dict.fromkeys(SIX, 0.0)


def test_two_hydrates_of_one_salt_are_a_choice_and_no_confusion():
    target = {Ion.CALCIUM: 80.0, Ion.SULFATE: 173.9}
    found = salts_for(SOFT, target, [GYPSUM, CALCIUM_SULFATE], 1)
    assert sorted(grams > 0 for grams in found.values()) == [False, True]


def test_residual_alkalinity():
    # Kolbach's formula, from memory: 38.1; homebrewersassociation.org 2233 says about 40 of the same water.
    assert residual_alkalinity_mg_l(118, 102, 12) == pytest.approx(38.1, abs=0.1)
    assert abs(residual_alkalinity_mg_l(118, 102, 12) - 40) < 3


def test_bicarbonate_is_alkalinity_by_fifty_to_sixty_one():
    # 50.04 / 61.02: equivalent masses, from atomic masses.
    assert alkalinity_mg_l(122.03) == pytest.approx(100.09, abs=0.01)


def test_usual_ions_are_doubted_outside():
    # homebrewingnews.com, water-101: calcium 50 to 150 mg/L.
    assert USUAL_IONS[Ion.CALCIUM].doubt(10).startswith("Calcium of 10 mg/L is unusual: 50 to 150 mg/L")
    assert USUAL_IONS[Ion.SULFATE].doubt(300) == ""


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: with_salts(SOFT, {GYPSUM: -1}, 1), "CaSO4·2H2O: -1 is not valid"),
        (lambda: with_salts({Ion.CALCIUM: -1}, {}, 1), "calcium: -1 is not valid"),
        (lambda: with_salts(SOFT, {}, 0), "volume_hl: 0 is not valid"),
        (lambda: salts_for(SOFT, {}, [CHALK], 1), "salts: calcium carbonate is not valid. .* dose it by trial"),
        (lambda: salts_for(SOFT, {}, [GYPSUM, GYPSUM], 1), "Choose among 8 different salts"),
        (lambda: residual_alkalinity_mg_l(-1, 0, 0), "alkalinity_mg_l: -1 is not valid"),
        (lambda: alkalinity_mg_l(-1), "bicarbonate_mg_l: -1 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
