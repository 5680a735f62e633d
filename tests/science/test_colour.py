"""Colour: the two scales, and what a grist leads to expect."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.colour import ebc, ebc_from_srm, lovibond_from_ebc, predicted_colour, srm, srm_from_ebc
from brewery.science.ranges import OutOfRange


def test_the_scales_are_12_7_and_25_times_the_absorbance():
    # Stored copy of "Standard Reference Method"; 25 / 12.7 = 1.9685.
    assert ebc(0.4) / srm(0.4) == pytest.approx(1.9685, abs=1e-4)
    assert (srm(0.5), ebc(0.5, dilution=10)) == pytest.approx((6.35, 125))


def test_twelve_of_one_are_23_64_of_the_other():
    # calculatorshub.net: 10 SRM = 19.7 EBC, 12 SRM = 23.64 EBC.
    assert ebc_from_srm(10) == pytest.approx(19.7, abs=1e-9)
    assert ebc_from_srm(12) == pytest.approx(23.64, abs=1e-9)


def test_the_relation_of_before_the_1980s_is_another():
    # EBC = 2.65 SRM - 1.2, of the old method: jimsbeerkit.co.uk 256318.
    assert abs(ebc_from_srm(12) - (2.65 * 12 - 1.2)) > 6


def test_degrees_lovibond_of_a_malt():
    # maltbroue.com: 4 °L are 4.66 SRM, 160 °L are 216.
    assert lovibond_from_ebc(ebc_from_srm(4.66)) == pytest.approx(4, abs=0.005)
    assert lovibond_from_ebc(ebc_from_srm(216)) == pytest.approx(160, abs=0.1)


def test_a_grist_is_as_dark_as_moreys_equation_says():
    # SRM = 1.4922 · MCU^0.6859, MCU in lb · °L by US gallon: Morey, Brewing Techniques, Beer's Law.
    registry = pint.UnitRegistry()
    lovibond = lovibond_from_ebc(7.0)
    pounds_a_gallon = registry.Quantity(1700 / 100, "kg/hectoliter").to("pound/gallon").magnitude
    expected = 1.97 * 1.4922 * (pounds_a_gallon * lovibond) ** 0.6859
    assert predicted_colour([(1700, 7.0)], 100).ebc == pytest.approx(expected)


@given(st.lists(st.tuples(st.floats(1, 100), st.floats(2, 1500)), min_size=1, max_size=5), st.floats(1, 20))
def test_more_malt_is_darker_and_more_wort_lighter(grist, cold_hl):
    here = predicted_colour(grist, cold_hl).ebc
    assert predicted_colour([*grist, (1, 2)], cold_hl).ebc >= here
    assert predicted_colour(grist, cold_hl + 1).ebc <= here


def test_beyond_50_srm_the_equation_says_that_it_was_carried_on():
    # Morey: for values of SRM below 50.
    stout = predicted_colour([(1700, 7.0), (500, 1300)], 100)
    assert stout.is_extrapolated == (srm_from_ebc(stout.ebc) >= 50)
    assert stout.is_extrapolated
    assert not predicted_colour([(1700, 7.0)], 100).is_extrapolated


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: srm(9), "a430: 9 is not valid"),
        (lambda: ebc(1, 0), "dilution: 0 is not valid"),
        (lambda: ebc_from_srm(-1), "colour_srm: -1 is not valid"),
        (lambda: lovibond_from_ebc(3000), "colour_ebc: 3000 is not valid"),
        (lambda: predicted_colour([(1, 2)], 0), "cold_hl: 0 is not valid"),
        (lambda: predicted_colour([(-1, 2)], 1), "mass_kg: -1 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
