"""Hop storage index: losses and classes as published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.hop_index import (
    IndexClass,
    alpha_by_index,
    index_at_loss,
    index_class,
    loss_pct,
    loss_range_pct,
    storage_index,
)
from brewery.science.ranges import OutOfRange

indices = st.floats(0.1, 2)


def test_the_index_is_the_ratio_of_two_absorbances():
    # The readings of the worked example of ASBC Hops-6A, as transcribed on realbeer.com.
    assert storage_index(0.132, 0.596) == pytest.approx(0.2215, abs=1e-4)


def test_fresh_hops_have_lost_nothing_and_at_0_31_about_a_tenth():
    # barthhaas.com, "From hop harvest to the brewery".
    assert loss_pct(0.25) == 0
    assert loss_pct(0.31) == pytest.approx(10, abs=0.5)


# Calculated with the slope 110 of Nickerson and Likens 1979, and with those of the crops of 1969 and 1977.
@pytest.mark.parametrize(
    ("index", "usual", "of_1969", "of_1977"),
    [
        (0.22, -6.11, -5.65, -6.36),
        (0.28, 5.41, 5.01, 5.64),
        (0.30, 8.71, 8.06, 9.07),
        (0.31, 10.28, 9.51, 10.71),
        (0.32, 11.79, 10.91, 12.29),
        (0.35, 16.07, 14.88, 16.75),
        (0.40, 22.45, 20.78, 23.39),
        (0.45, 28.08, 25.99, 29.25),
        (0.50, 33.11, 30.64, 34.50),
        (0.60, 41.82, 38.71, 43.57),
        (0.70, 49.19, 45.52, 51.24),
    ],
)
def test_the_loss_goes_with_the_logarithm_of_the_index(index, usual, of_1969, of_1977):
    assert loss_pct(index) == pytest.approx(usual, abs=0.01)
    assert loss_pct(index, slope=101.8) == pytest.approx(of_1969, abs=0.01)
    assert loss_pct(index, slope=114.6) == pytest.approx(of_1977, abs=0.01)
    shown = loss_range_pct(index)
    assert (shown.low, shown.value, shown.high) == pytest.approx(
        [max(0, loss) for loss in (of_1969, usual, of_1977)], abs=0.01
    )


@given(st.floats(-40, 99))
def test_an_index_is_found_again_from_its_loss(loss):
    assert loss_pct(index_at_loss(loss)) == pytest.approx(loss, abs=1e-9)


@pytest.mark.parametrize(
    ("index", "name"),
    [
        (0.2, IndexClass.FRESH),
        (0.319, IndexClass.FRESH),
        (0.32, IndexClass.SLIGHTLY_AGED),
        (0.33, IndexClass.SLIGHTLY_AGED),
        (0.40, IndexClass.SLIGHTLY_AGED),
        (0.409, IndexClass.SLIGHTLY_AGED),
        (0.41, IndexClass.AGED),
        (0.50, IndexClass.AGED),
        (0.51, IndexClass.STRONGLY_AGED),
        (0.60, IndexClass.STRONGLY_AGED),
        (0.61, IndexClass.OVER_AGED),
        (1.2, IndexClass.OVER_AGED),
    ],
)
def test_each_class_starts_where_it_says(index, name):
    # brewingscience.de 2023 11/12: below 0.32 fresh, 0.41 to 0.50 aged, above 0.61 over-aged; the others from memory.
    assert index_class(index) is name


def test_alpha_falls_as_the_index_rises():
    # Losses of 5.41 and 20.00 % by the formula of Nickerson and Likens: 10.0 · 0.8000 / 0.9459.
    assert alpha_by_index(10.0, 0.28, 0.38) == pytest.approx(8.458, abs=0.001)


@given(st.floats(1, 20), indices, indices)
def test_alpha_by_index_never_rises_and_never_vanishes(alpha, then, now):
    assert 0 < alpha_by_index(alpha, then, now) <= alpha


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: storage_index(0.1, 0), "a325: 0 is not valid. It must be more than 0"),
        (lambda: storage_index(-0.1, 0.5), "a275: -0.1 is not valid"),
        (lambda: loss_pct(0), "index: 0 is not valid"),
        (lambda: index_class(3), "index: 3 is not valid"),
        (lambda: index_at_loss(100), "loss: 100 is not valid"),
        (lambda: alpha_by_index(0, 0.3, 0.3), "alpha_pct: 0 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
