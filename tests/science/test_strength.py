"""Strength on the label."""

import pytest

from brewery.science.ranges import OutOfRange
from brewery.science.strength import keeps_label, label_tolerance_pct


@pytest.mark.parametrize(("label", "room"), [(0.5, 0.5), (5.5, 0.5), (5.6, 1.0), (12, 1.0)])
def test_the_room_grows_above_five_and_a_half(label, room):
    # 0.5 % vol up to 5.5 % vol: ptasia.biz 0538 on Regulation (EU) 1169/2011; 1.0 above from memory.
    assert label_tolerance_pct(label) == room


def test_a_label_is_kept_up_to_its_room():
    assert keeps_label(5.6, 5.1)
    assert not keeps_label(5.61, 5.1)
    assert not keeps_label(4.59, 5.1)


def test_what_cannot_be_is_refused():
    with pytest.raises(OutOfRange, match="measured_pct: 120 is not valid"):
        keeps_label(120, 5)
    with pytest.raises(OutOfRange, match="label_pct: -1 is not valid"):
        keeps_label(5, -1)
