"""Gravity: the table of extract against four other published forms of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.gravity import (
    extract_kg,
    extract_kg_per_hl,
    plato,
    plato_of_extract,
    specific_gravity,
    wort_density_kg_l,
)
from brewery.science.ranges import OutOfRange

# Hackbarth 2011 after AOAC: specific gravity as a power series of the weight fraction, futureboy.us, Brix.
HACKBARTH = (
    *(1.0, 0.3875135555, 0.09702881653, 0.3883357480, -1.782845295, 5.591472292),
    *(-11.00667976, 13.62230734, -10.33082001, 4.387787019, -0.7995558730),
)
worts = st.floats(0.5, 20)


def test_ten_plato_is_the_anchor_of_the_table():
    # SG 1.04003 is 10.000 °P: the ASBC table, from memory.
    assert plato(1.04003) == pytest.approx(10.000, abs=0.002)


@pytest.mark.parametrize(
    ("gravity", "extract"),
    [
        *((1.012, 3.068), (1.020, 5.081), (1.040, 9.994), (1.048, 11.912)),
        *((1.050, 12.388), (1.060, 14.741), (1.083, 20.006)),
    ],
)
def test_specific_gravity_becomes_plato(gravity, extract):
    # Calculated from the polynomial of liquisearch.com, a fit to the ASBC table.
    assert plato(gravity) == pytest.approx(extract, abs=0.001)


@pytest.mark.parametrize(
    ("extract", "gravity", "kg_per_hl"),
    [
        *((1, 1.00389, 1.002), (2, 1.00780, 2.012), (2.5, 1.00976, 2.520), (3, 1.01173, 3.030)),
        *((4, 1.01569, 4.055), (5, 1.01968, 5.089), (8, 1.03180, 8.240), (10, 1.04003, 10.382)),
        *((11, 1.04418, 11.465), (12, 1.04837, 12.558), (12.5, 1.05047, 13.107), (13, 1.05259, 13.659)),
        *((14, 1.05683, 14.769), (15, 1.06111, 15.888), (16, 1.06542, 17.016), (18, 1.07413, 19.300)),
        (20, 1.08297, 21.620),
    ],
)
def test_plato_becomes_specific_gravity_and_kilograms(extract, gravity, kg_per_hl):
    # Calculated by inverting the polynomial of liquisearch.com; water of 20 °C is 0.998203 kg/L.
    assert specific_gravity(extract) == pytest.approx(gravity, abs=1e-5)
    assert extract_kg_per_hl(extract) == pytest.approx(kg_per_hl, abs=0.001)


@given(st.floats(2, 20))
def test_the_other_published_forms_agree(extract):
    gravity = specific_gravity(extract)
    # calculator.academy, Plato to SG; futureboy.us (Hackbarth); liquisearch.com (Lincoln); a stored copy of "Brix".
    assert 1 + extract / (258.6 - extract / 258.2 * 227.1) == pytest.approx(gravity, abs=3e-5)
    powers = sum(factor * (extract / 100) ** power for power, factor in enumerate(HACKBARTH))
    assert powers == pytest.approx(gravity, abs=1.2e-4)
    assert (463 - 205 * gravity) * (gravity - 1) == pytest.approx(extract, abs=0.006)
    assert 260.4 - 260.4 / gravity == pytest.approx(extract, abs=0.06)


@given(worts)
def test_plato_goes_to_specific_gravity_and_back(extract):
    assert plato(specific_gravity(extract)) == pytest.approx(extract, abs=1e-6)


@given(st.floats(-3, 25), st.floats(0, 1))
def test_more_extract_is_never_lighter(extract, more):
    heavier = min(25, extract + more)
    assert specific_gravity(heavier) >= specific_gravity(extract) - 1e-9


@given(st.floats(0.9884, 1.1), st.floats(0, 0.005))
def test_heavier_wort_never_has_less_extract(gravity, more):
    assert plato(gravity + more) >= plato(gravity) - 1e-9


def test_water_holds_no_extract():
    assert (plato(1), specific_gravity(0), extract_kg(100, 0)) == (0, 1, 0)


def test_dry_beer_reads_below_water():
    assert -1.1 < plato(0.996) < -1.0
    assert plato(specific_gravity(-1)) == pytest.approx(-1, abs=1e-6)


@given(worts, st.floats(1, 1000))
def test_the_extract_of_a_volume_leads_back_to_its_plato(extract, volume_hl):
    assert plato_of_extract(extract_kg(volume_hl, extract), volume_hl) == pytest.approx(extract, abs=1e-6)


@given(worts, st.floats(1, 100), st.floats(0, 1))
def test_the_extract_of_a_volume_is_that_of_its_parts(extract, volume_hl, part):
    share = volume_hl * part
    if 0 < share < volume_hl:
        split = extract_kg(share, extract) + extract_kg(volume_hl - share, extract)
        assert split == pytest.approx(extract_kg(volume_hl, extract), abs=1e-6)


def test_the_density_of_wort_is_that_of_water_times_its_gravity():
    assert wort_density_kg_l(12) == pytest.approx(1.04837 * 0.998203, abs=2e-5)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: plato(12), "specific_gravity: 12 is not valid. .* Write specific gravity such as 1.048"),
        (lambda: specific_gravity(26), "extract_plato: 26 is not valid. It must be -3 to 25 °P"),
        (lambda: extract_kg_per_hl(-1), "extract_plato: -1 is not valid"),
        (lambda: extract_kg(-1, 12), "volume_hl: -1 is not valid"),
        (lambda: plato_of_extract(3000, 100), "more than 25 °P"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
