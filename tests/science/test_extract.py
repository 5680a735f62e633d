"""Extract of malt on its two bases."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.extract import as_is_from_dry, basis_doubt, dry_from_as_is


def test_dry_basis_becomes_as_is_as_published():
    # 81.5 % dry basis at 4.2 % moisture: computed from the definition of dry basis, 81.5 x 0.958.
    assert as_is_from_dry(81.5, 4.2) == pytest.approx(78.077, abs=1e-9)
    # 78.0 % at 3.5 %: Noonan's table as quoted on homebrewtalk.com says 75.2; the exact product is 75.27.
    assert as_is_from_dry(78.0, 3.5) == pytest.approx(75.27, abs=1e-9)


@given(st.floats(40, 95), st.floats(0, 50))
def test_the_two_conversions_undo_each_other(dry, moisture):
    assert dry_from_as_is(as_is_from_dry(dry, moisture), moisture) == pytest.approx(dry, rel=1e-12)


def test_figures_that_agree_within_their_rounding_are_not_doubted():
    assert basis_doubt(78.1, 81.5, 4.2) == ""
    assert basis_doubt(77.9, 81.5, 4.2) == ""


def test_figures_that_cannot_all_be_right_are_doubted_in_words():
    assert basis_doubt(81.5, 81.5, 4.2) == (
        "Extract of 81.5 % dry basis at 4.2 % moisture is 78.1 % as-is; the certificate says 81.5 %. "
        "Look up which of the three is written wrongly."
    )
