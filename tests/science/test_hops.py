"""Hops in storage: the worked examples of the model, and where it is known to be wrong."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.analyses import ANALYSES
from brewery.science.cultivars import CULTIVARS
from brewery.science.estimates import Estimate
from brewery.science.hops import (
    STORAGE_LAW,
    HopForm,
    Pack,
    alpha_in_storage,
    blended_alpha_pct,
    days_until_alpha,
    default_rate,
)
from brewery.science.ranges import OutOfRange
from brewery.science.storage import Stay, rate_from_loss

HALF_LOST = Estimate.exact(rate_from_loss(50, 180))
RATES = {loss: Estimate.exact(rate_from_loss(loss, 180)) for loss in (10, 25, 50)}
AT_HARVEST = Estimate.exact(6.3)


def left_pct(loss_pct: int, temperature_c: float, days: float) -> float:
    stays = [Stay(days, temperature_c, Pack.VACUUM.protection)]
    return alpha_in_storage(Estimate.exact(50), RATES[loss_pct], stays).alpha_pct.value * 2


def test_the_protection_of_a_pack_is_that_of_the_model():
    # Garetz, Brewing Techniques 2(1): 1 means no protection; 0.75 and 0.5 from memory.
    assert [pack.protection for pack in Pack] == [1, 0.75, 0.5, 0.5]


def test_a_year_at_4_degrees_in_barrier_packs():
    # Calculated: 365 · 0.47743 · 0.5 = 87.13 days, 6.3 · e^(-0.00385082 · 87.13).
    kept = alpha_in_storage(AT_HARVEST, HALF_LOST, [Stay(365, 4, Pack.VACUUM.protection)])
    assert kept.equivalent_days == pytest.approx(87.13, abs=0.01)
    assert kept.alpha_pct.value == pytest.approx(4.504, abs=0.001)
    assert not kept.is_extrapolated


def test_a_changing_history():
    # Calculated: 7.500 + 26.117 + 15.000 equivalent days.
    history = [Stay(10, 20, Pack.SEALED.protection), Stay(120, 2, Pack.INERT_GAS.protection), Stay(30, 5)]
    kept = alpha_in_storage(AT_HARVEST, HALF_LOST, history)
    assert kept.equivalent_days == pytest.approx(48.617, abs=0.001)
    assert kept.alpha_pct.value == pytest.approx(5.2244, abs=0.001)


@pytest.mark.parametrize(
    ("loss_pct", "temperature_c", "after"),
    [
        (50, 20, (84.1, 70.7, 49.5, 24.5)),
        (50, 5, (91.7, 84.1, 70.4, 49.5)),
        (50, 0, (93.4, 87.2, 75.7, 57.2)),
        (50, -18, (97.1, 94.2, 88.6, 78.4)),
        (25, 20, (93.1, 86.6, 74.7, 55.8)),
        (25, 5, (96.5, 93.1, 86.4, 74.7)),
        (10, 5, (98.7, 97.4, 94.8, 89.9)),
    ],
)
def test_what_is_left_in_barrier_packs(loss_pct, temperature_c, after):
    # Calculated from the model of Garetz, with 0.5 for the pack (memory).
    for days, left in zip((90, 180, 365, 730), after, strict=True):
        assert left_pct(loss_pct, temperature_c, days) == pytest.approx(left, abs=0.05)


def test_the_model_says_too_much_for_pellets_and_its_interval_says_so():
    # Purdue thesis on Cascade and Chinook pellets: 14.5 to 23.4 % lost in 168 days at 4 and 25 °C.
    pellets = default_rate(CULTIVARS["Crystal"], HopForm.PELLETS_90)
    kept = alpha_in_storage(Estimate.exact(10), pellets, [Stay(168, 25)])
    lost = [100 - alpha * 10 for alpha in (kept.alpha_pct.high, kept.alpha_pct.value)]
    assert lost[1] == pytest.approx(55.74, abs=0.01)
    assert lost[0] < 23.4 < lost[1]
    assert kept.is_extrapolated


def test_pellets_may_decay_four_times_slower_than_cones():
    # Purdue thesis: the model says 2 to 4 times too much for pellets.
    rate, cones = (default_rate(CULTIVARS["Fuggle"], form) for form in (HopForm.PELLETS_45, HopForm.CONES))
    assert (rate.value, rate.high, rate.low) == (cones.value, cones.high, cones.low / 4)


@pytest.mark.parametrize(
    ("days", "temperature_c", "is_extrapolated"), [(9, 20, False), (9, 20.5, True), (0, 30, False)]
)
def test_above_20_degrees_the_law_was_carried_on(days, temperature_c, is_extrapolated):
    # Published up to 20 °C: Garetz, Brewing Techniques 2(1).
    stays = [Stay(days, temperature_c), Stay(30, 4)]
    assert alpha_in_storage(AT_HARVEST, HALF_LOST, stays).is_extrapolated is is_extrapolated


def test_cones_have_the_rate_of_their_cultivar_and_extract_none():
    fuggle = CULTIVARS["Fuggle"]
    assert default_rate(fuggle, HopForm.CONES) == fuggle.rate_per_day
    with pytest.raises(OutOfRange, match=r"form: extract is not valid\. No rate of it is published here"):
        default_rate(fuggle, HopForm.EXTRACT)


def test_only_cones_and_pellets_have_a_storage_index():
    # barthhaas.com, "How can the HSI be correctly assessed for brewing purposes?".
    assert [form for form in HopForm if not form.has_storage_index] == [HopForm.EXTRACT, HopForm.OIL]


def test_certificates_speak_of_the_same_forms_and_packs():
    assert ANALYSES["hop"]["form"].choices == tuple(HopForm)
    assert ANALYSES["hop"]["pack"].choices == tuple(Pack)


@given(st.floats(2, 15), st.floats(0, 1), st.floats(0.0005, 0.005), st.floats(0, 700), st.floats(-18, 20))
def test_the_interval_holds_every_assay_and_rate_in_it(alpha, room, rate, days, temperature_c):
    rates, stays = Estimate(rate, rate / 2, rate * 2), [Stay(days, temperature_c)]
    kept = alpha_in_storage(Estimate.give_or_take(alpha, room), rates, stays).alpha_pct
    for assay in (alpha - room, alpha + room):
        for one in (rates.low, rates.high):
            inner = alpha_in_storage(Estimate.exact(assay), Estimate.exact(one), stays).alpha_pct.value
            assert kept.low - 1e-9 <= inner <= kept.high + 1e-9


@given(st.floats(0.5, 0.95), st.floats(-18, 20), st.sampled_from(Pack))
def test_on_the_day_foretold_the_limit_is_reached(part, temperature_c, pack):
    days = days_until_alpha(10 * part, 10, 0.002, temperature_c, pack)
    stays = [Stay(days, temperature_c, pack.protection)]
    assert alpha_in_storage(Estimate.exact(10), Estimate.exact(0.002), stays).alpha_pct.value == pytest.approx(
        10 * part
    )


def test_stored_warm_for_120_days_a_lot_is_weaker_by_exactly_what_the_model_says():
    # 180 days at 20 °C in the open lose half: by the rule, 120 days at 25 °C lose 1 - 2^-(120 · 1.25992 / 180).
    kept = alpha_in_storage(Estimate.exact(10), HALF_LOST, [Stay(120, 25)])
    assert kept.alpha_pct.value == pytest.approx(10 * 2 ** -(120 * STORAGE_LAW(25) / 180))


@given(st.lists(st.tuples(st.floats(0.1, 100), st.floats(1, 20)), min_size=1, max_size=6))
def test_a_blend_lies_between_its_lots_and_holds_their_alpha(parts):
    blended = blended_alpha_pct(parts)
    assert min(alpha for _, alpha in parts) - 1e-9 <= blended <= max(alpha for _, alpha in parts) + 1e-9
    assert blended * sum(mass for mass, _ in parts) == pytest.approx(sum(mass * alpha for mass, alpha in parts))


def test_nothing_blends_to_nothing():
    with pytest.raises(OutOfRange, match="mass_kg: 0 is not valid"):
        blended_alpha_pct([])
