"""Kraeusen as a share of either beer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.kraeusen import USUAL_SHARE, kraeusen_hl, kraeusen_shares
from brewery.science.ranges import OutOfRange

volumes = st.floats(0.1, 1000)


def test_twelve_into_a_hundred():
    # Calculated; MacDonald 1984 gives 10 to 12 % of the green beer, beer-brewing.com.
    shares = kraeusen_shares(12, 100)
    assert shares.of_green_beer_pct == pytest.approx(12, abs=0.01)
    assert shares.of_blend_pct == pytest.approx(10.714, abs=0.001)


@given(volumes, volumes)
def test_of_the_blend_is_always_less_than_of_the_green_beer(kraeusen, green):
    shares = kraeusen_shares(kraeusen, green)
    assert shares.of_blend_pct < shares.of_green_beer_pct


@given(volumes, st.floats(0.1, 100))
def test_a_share_leads_to_a_volume_and_back(green, share):
    assert kraeusen_shares(kraeusen_hl(green, share), green).of_green_beer_pct == pytest.approx(share)


@pytest.mark.parametrize("share", [5, 10, 12, 17, 20])
def test_every_published_share_is_usual(share):
    # 5 and 20 %: Coors 1977; 10 and 12 %: MacDonald 1984, both beer-brewing.com; 10 and 17 %: byo.com.
    assert USUAL_SHARE.doubt(share) == ""


def test_a_share_beyond_a_fifth_is_doubted():
    # 5 to 20 %: Coors 1977, beer-brewing.com.
    assert USUAL_SHARE.doubt(12) == ""
    assert "unusual" in USUAL_SHARE.doubt(25)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: kraeusen_shares(0, 100), "kraeusen_hl: 0 is not valid"),
        (lambda: kraeusen_shares(1, 0), "green_beer_hl: 0 is not valid"),
        (lambda: kraeusen_hl(100, 120), "of_green_beer_pct: 120 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
