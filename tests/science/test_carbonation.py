"""Carbon dioxide in volumes and grams."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.carbonation import co2_g_l, co2_volumes
from brewery.science.ranges import OutOfRange


def test_one_volume_is_1_96_grams_a_litre():
    # knowledge-builders.org: 1.96 g/L; 44.0095 / 22.414, from atomic masses and the molar volume of a gas.
    assert co2_g_l(1) == pytest.approx(1.96, abs=0.005)
    assert co2_g_l(2.6) == pytest.approx(5.10, abs=0.01)


@given(st.floats(0, 8))
def test_volumes_become_grams_and_volumes_again(volumes):
    assert co2_volumes(co2_g_l(volumes)) == pytest.approx(volumes)


@pytest.mark.parametrize(
    ("asked", "words"),
    [(lambda: co2_g_l(9), "volumes: 9 is not valid"), (lambda: co2_volumes(-1), "co2_in_g_l: -1 is not valid")],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
