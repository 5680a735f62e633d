"""Losses: a chain of steps, and extract that adds up."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.gravity import extract_kg
from brewery.science.losses import USUAL_LOSSES, Step, loss_chain, unbooked_extract_kg, volume_loss_pct
from brewery.science.ranges import OutOfRange

# 4 %: Zentralblatt für das Deutsche Reich 46 (1918); 2.25 %: within Barnes 1976; 0.6 %: biersekte.de; the rest assumed.
STEPS = (Step("trub", 2), Step("fermentation", 2.25), Step("filter", 0.6), Step("packaging", 2))
steps = st.lists(st.builds(Step, st.just("any"), st.floats(0, 50)), max_size=6)


def test_a_hundred_hectolitres_hot_come_to_89_and_a_half():
    # Calculated, step by step.
    chain = loss_chain(100, STEPS)
    assert chain.cold_hl == pytest.approx(96.000, abs=0.001)
    assert chain.after_hl == pytest.approx((94.080, 91.963, 91.411, 89.583), abs=0.001)
    assert chain.of_hot_wort_pct == pytest.approx(10.417, abs=0.001)
    assert chain.of_cold_wort_pct == pytest.approx(6.68, abs=0.005)


def test_the_extract_of_that_wort_goes_through_the_chain():
    # Calculated: 96 hL of 12 °P are 1,205.6 kg, and what each step keeps and loses adds up to it.
    volumes = (96.0, *loss_chain(100, STEPS).after_hl)
    kept = [extract_kg(volume, 12) for volume in volumes]
    assert kept[0] == pytest.approx(1205.6, abs=0.05)
    lost = sum(before - after for before, after in pairwise(kept))
    assert unbooked_extract_kg(kept[0], [kept[-1]], lost) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ("label", "least", "most", "source"),
    [
        ("Loss to hops and trub", 1, 3, "Zentralblatt für das Deutsche Reich 46 (1918)"),
        ("Loss in fermentation of ale", 1.5, 1.75, "Barnes"),
        ("Loss in fermentation of lager", 2.0, 2.5, "Barnes"),
        ("Loss in filtration", 0.4, 0.8, "biersekte.de"),
        ("Loss from hot wort to beer sold", 8, 24, "Narziss"),
    ],
)
def test_what_is_usual_is_what_was_published(label, least, most, source):
    (band,) = [one for one in USUAL_LOSSES if one.label == label]
    assert (band.least, band.most) == (least, most)
    assert source in band.source


def test_the_rule_of_thumb_is_usual_and_what_1918_calls_medium_too():
    # 15 % of the hot wort: Narziss; medium is up to 20 %: Zentralblatt für das Deutsche Reich 46 (1918) 1011.
    assert [USUAL_LOSSES[-1].doubt(pct) for pct in (15, 20)] == ["", ""]


def test_that_loss_is_usual():
    # 8 to 24 % of the hot wort: Narziss, Abriss der Bierbrauerei 2017, as cited on hobbybrauer.de.
    assert USUAL_LOSSES[-1].doubt(loss_chain(100, STEPS).of_hot_wort_pct) == ""


def test_the_loss_by_the_two_ends_is_that_of_the_chain():
    assert volume_loss_pct(100, loss_chain(100, STEPS).after_hl[-1]) == pytest.approx(10.417, abs=0.001)


@pytest.mark.parametrize(("ends", "total"), [((4, 5, 1, 4), 14), ((4, 9, 3, 10), 26)])
def test_the_bands_of_1918_add_up_to_their_own_total(ends, total):
    # Contraction, evaporation, hops and trub, cellar: 14 to 26 %, Zentralblatt für das Deutsche Reich 46 (1918) 1011.
    assert sum(ends) == total


@given(st.floats(1, 1000), steps, st.randoms(use_true_random=False))
def test_the_order_of_steps_changes_every_volume_but_the_last(hot_hl, chain, shuffler):
    shuffled = list(chain)
    shuffler.shuffle(shuffled)
    assert loss_chain(hot_hl, shuffled).of_hot_wort_pct == pytest.approx(loss_chain(hot_hl, chain).of_hot_wort_pct)


@given(st.floats(1, 1000), steps)
def test_no_step_makes_beer(hot_hl, chain):
    volumes = [hot_hl, (made := loss_chain(hot_hl, chain)).cold_hl, *made.after_hl]
    assert volumes == sorted(volumes, reverse=True)


@given(st.floats(1, 20), st.lists(st.floats(0.1, 100), min_size=1, max_size=6), st.floats(0, 10))
def test_extract_in_is_extract_out_and_loss_booked(extract_plato, volumes_hl, loss_hl):
    parts = [extract_kg(volume, extract_plato) for volume in volumes_hl]
    lost = extract_kg(loss_hl, extract_plato) if loss_hl else 0.0
    entered = extract_kg(sum(volumes_hl) + loss_hl, extract_plato)
    assert unbooked_extract_kg(entered, parts, lost) == pytest.approx(0, abs=1e-6)


def test_what_nothing_accounts_for_is_told_and_more_out_than_in_too():
    assert unbooked_extract_kg(1205.6, [1181.5]) == pytest.approx(24.1)
    assert unbooked_extract_kg(1000, [1001]) == pytest.approx(-1)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (lambda: Step("trub", -1), "loss_pct: -1 is not valid"),
        (lambda: loss_chain(0, []), "hot_hl: 0 is not valid"),
        (lambda: volume_loss_pct(100, 101), "sold_hl: 101 is not valid. .* look up what was added"),
        (lambda: unbooked_extract_kg(1, [-1]), "left_kg: -1 is not valid"),
        (lambda: unbooked_extract_kg(1, [], -1), "booked_loss_kg: -1 is not valid"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OutOfRange, match=words):
        asked()
