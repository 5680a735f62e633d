"""Judging: what a certificate does to its lot, and what it leaves to quality."""

import pytest
from django.utils import timezone

from inventory.models import Decision, Material
from inventory.queries.judgements import judgement_of
from inventory.services.refusals import LotNotReleased
from tests.brewhouse import Brewhouse
from tests.inventory.laboratory import GOOD, Laboratory
from tests.standing import built_once


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    """Munich malt waits for a certificate; Pilsner malt comes in released, with the same limits."""
    lab = Laboratory(brewhouse)
    brewhouse.deliver("MUNICH", "M1", "500 kg")
    brewhouse.deliver("PILS", "P1", "500 kg", note="2")
    lab.ask_for_malt("MUNICH")
    lab.ask_for_malt("PILS")
    return lab


def last(lab: Laboratory, lot: str) -> tuple[str, str, str]:
    decision = Decision.objects.filter(lot__code=lot).latest("pk")
    return decision.before, decision.after, decision.reason


def disposition(lab: Laboratory, lot: str) -> str:
    return lab.house.lot(lot).disposition


def test_a_certificate_that_keeps_all_limits_releases_a_lot_that_waited_for_it(lab: Laboratory):
    lab.enter("M1", number="A-7")
    assert last(lab, "M1") == (
        "quarantined",
        "released",
        "Certificate A-7: all that is asked is kept (3 properties).",
    )
    assert disposition(lab, "M1") == "released"


def test_a_value_out_of_limits_keeps_the_lot_in_quarantine_with_the_reason(lab: Laboratory):
    lab.enter("M1", number="A-7", values={**GOOD, "moisture": "5.2", "extract_fine_dry": "79"})
    assert last(lab, "M1") == (
        "quarantined",
        "quarantined",
        "Certificate A-7: Moisture 5.2 % is not at most 5 %; Extract, fine grind, dry basis 79 % is not at least 80 %.",
    )
    with pytest.raises(LotNotReleased):
        lab.house.draw(lab.house.start_brew("B1", hours=2), ("M1", "STORE", "1 kg"), hours=2)


def test_a_value_below_what_can_be_measured_is_held_against_a_lower_limit(lab: Laboratory):
    lab.enter("M1", number="A-7", values={**GOOD, "ochratoxin_a": "< 5"})
    assert last(lab, "M1")[1:] == (
        "quarantined",
        "Certificate A-7: Ochratoxin A < 5 µg/kg cannot be shown to be at most 3 µg/kg.",
    )


def test_what_is_asked_and_not_stated_keeps_the_lot_in_quarantine(lab: Laboratory):
    lab.enter("M1", number="A-7", values={"moisture": "4.5"})
    assert last(lab, "M1")[1:] == (
        "quarantined",
        "Certificate A-7: Extract, fine grind, dry basis is not stated; Ochratoxin A is not stated.",
    )


def test_several_certificates_together_state_what_is_asked(lab: Laboratory):
    lab.enter("M1", number="A-7", values={"moisture": "4.5", "extract_fine_dry": "81.5"})
    assert disposition(lab, "M1") == "quarantined"
    lab.enter("M1", number="T-1", values={"ochratoxin_a": "0.2"})
    assert disposition(lab, "M1") == "released"


def test_one_bad_certificate_stands_against_a_good_one(lab: Laboratory):
    lab.enter("M1", number="A-7", values={"moisture": "5.2"})
    lab.enter("M1", number="A-8")
    assert disposition(lab, "M1") == "quarantined"


def test_a_corrected_certificate_no_longer_counts(lab: Laboratory):
    wrong = lab.enter("M1", number="A-7", values={**GOOD, "moisture": "45"})
    lab.enter("M1", number="A-7", replaces=wrong)
    assert disposition(lab, "M1") == "released"


def test_a_material_of_which_nothing_is_asked_waits_for_quality(lab: Laboratory):
    for key in ("moisture", "extract_fine_dry", "ochratoxin_a"):
        lab.ask("MUNICH", key, is_withdrawn=True)
    lab.enter("M1")
    assert disposition(lab, "M1") == "quarantined"
    assert not Decision.objects.exists()


def test_a_released_lot_goes_back_to_quarantine_for_a_value_out_of_limits(lab: Laboratory):
    lab.enter("P1", number="A-7", values={"moisture": "5.2"})
    assert last(lab, "P1") == ("released", "quarantined", "Certificate A-7: Moisture 5.2 % is not at most 5 %.")


def test_a_lot_that_needs_no_certificate_is_not_held_for_what_one_leaves_out(lab: Laboratory):
    lab.enter("P1", values={"moisture": "4.5"})
    assert disposition(lab, "P1") == "released"
    assert not Decision.objects.exists()


def test_a_slip_of_the_pen_that_took_a_release_back_is_undone_by_its_correction(lab: Laboratory):
    wrong = lab.enter("P1", number="A-7", values={"moisture": "45"})
    assert disposition(lab, "P1") == "quarantined"
    lab.enter("P1", number="A-7", values={"moisture": "4.5"}, replaces=wrong)
    assert disposition(lab, "P1") == "released"


@pytest.mark.parametrize("held", ["on_hold", "rejected", "quarantined"])
def test_what_a_person_held_back_no_certificate_releases(lab: Laboratory, held: str):
    lab.house.decide("M1", held, hours=1, reason="smells of mould")
    lab.enter("M1")
    assert disposition(lab, "M1") == held


@pytest.mark.parametrize("held", ["on_hold", "rejected"])
def test_what_is_held_more_strictly_is_not_let_down_to_quarantine(lab: Laboratory, held: str):
    lab.house.decide("M1", held, hours=1, reason="smells of mould")
    lab.enter("M1", values={**GOOD, "moisture": "5.2"})
    assert disposition(lab, "M1") == held


def test_what_waits_for_quality_no_certificate_releases(lab: Laboratory):
    Material.objects.filter(code="MUNICH").update(arrives="on_hold")
    lab.house.deliver("MUNICH", "M2", "500 kg", note="9")
    lab.enter("M2")
    assert disposition(lab, "M2") == "on_hold"


def test_quality_releases_against_the_certificate_with_a_reason(lab: Laboratory):
    lab.enter("M1", number="A-7", values={**GOOD, "moisture": "5.2"})
    lab.house.decide("M1", "released", hours=3, reason="for the dark beer, within the day")
    assert disposition(lab, "M1") == "released"
    lab.enter("M1", number="A-8", values={"protein": "11"})
    assert disposition(lab, "M1") == "released"


def test_a_mixture_is_left_to_quality(lab: Laboratory):
    """P3 goes in on top of P2, which is quarantined; so is what lies there then, and no paper of its own frees it."""
    lab.house.deliver("PILS", "P2", "500 kg", "SILO1", note="3")
    lab.house.decide("P2", "quarantined", hours=1)
    lab.house.deliver("PILS", "P3", "500 kg", "SILO1", note="4", hours=2, contents_code="MX1")
    Material.objects.filter(code="PILS").update(arrives="quarantined")
    lab.enter("MX1")
    assert disposition(lab, "MX1") == "quarantined"


def test_a_judgement_names_what_is_kept_broken_and_missing(lab: Laboratory):
    lab.enter("M1", values={"moisture": "5.2", "ochratoxin_a": "< 0.1", "protein": "11"})
    judged = judgement_of(lab.house.lot("M1"), timezone.localdate())
    found = {(one.measured.key, one.shown, one.limits, one.verdict.value) for one in judged.findings}
    assert found == {
        ("moisture", "5.2 %", "at most 5 %", "out of limits"),
        ("ochratoxin_a", "< 0.1 µg/kg", "at most 3 µg/kg", "within limits"),
        ("protein", "11 %", "", "within limits"),
        ("extract_fine_dry", "", "at least 80 %", "not stated"),
    }
