"""What people are told of: each kind of cause is found when it is there, and not before or after."""

from datetime import timedelta

import time_machine

from brewery.kernel.clock import now
from brewery.kernel.models import Job
from brewery.production.services.plans import plan_brew
from inventory.models import Alert
from inventory.services.alerts import alert_kinds, look, look_at
from tests.brewhouse import Brewhouse, at, micro
from tests.production.brewday import sheet_of
from tests.production.cellar import STUCK, fermenting, gravities
from tests.standing import built_once
from traceability.services.proofs import prove_and_keep
from traceability.services.recalls import open_recall


def told(kind: str) -> list[str]:
    """Return what is told of a kind, after a look."""
    look(kind)
    return list(Alert.objects.due(now()).filter(kind=kind).order_by("words").values_list("words", flat=True))


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


def test_every_kind_can_be_looked_for_in_an_empty_brewery(brewhouse: Brewhouse):
    assert set(look_at()) == set(alert_kinds())
    assert len(alert_kinds()) >= 12


def test_a_lot_that_waits_too_long_for_quality_is_told_until_it_is_decided_on(house: Brewhouse):
    house.decide("M1", "on_hold", hours=5, reason="smells of smoke")
    with time_machine.travel(at(6) + timedelta(days=7), tick=False):
        assert told("waiting_for_quality") == ["Lot M1 of Pilsner malt has been on hold for 7 days."]
    house.decide("M1", "released", hours=300)
    assert told("waiting_for_quality") == []
    house.decide("M1", "rejected", hours=301, reason="mould")
    assert told("rejected_here") == ["Lot M1 of Pilsner malt is rejected and still here: send it back, or destroy it."]


def test_a_job_that_failed_is_told_until_it_succeeds(brewhouse: Brewhouse):
    failed = {"state": Job.State.FAILED, "run_after": now(), "created_at": now(), "finished_at": now()}
    Job.objects.create(name="sweep", error="OSError: no room\nline 2", **failed)
    assert told("job_failed") == ["The job “sweep” failed: OSError: no room"]
    Job.objects.create(name="sweep", **{**failed, "state": Job.State.DONE})
    assert told("job_failed") == []


def test_what_the_nightly_checks_of_the_record_found_is_told_at_once(brewhouse: Brewhouse):
    done = {"state": Job.State.DONE, "run_after": now(), "created_at": now(), "finished_at": now()}
    Job.objects.create(name="audit_ledger", result={"disagreements": 0}, **done)
    Job.objects.create(name="verify_seals", result={"broken": 2, "first": []}, **done)
    (words,) = told("record_disagrees")
    assert words.startswith("“verify_seals” found 2 disagreements")
    assert Alert.objects.get().severity == Alert.Severity.URGENT


def test_a_tank_that_was_emptied_and_not_cleaned_is_told_after_two_days(brewhouse: Brewhouse):
    fermenting(brewhouse)
    brewhouse.transfer("FV1", "BT1", "1000 L", hours=200)
    with time_machine.travel(at(200) + timedelta(hours=47), tick=False):
        assert told("cleaning_overdue") == []
    with time_machine.travel(at(200) + timedelta(hours=49), tick=False):
        (words,) = told("cleaning_overdue")
        assert "was not cleaned" in words
        brewhouse.clean("FV1", hours=248)
        assert told("cleaning_overdue") == []


def test_a_fermentation_that_stopped_short_is_told(brewhouse: Brewhouse):
    fermenting(brewhouse)
    gravities(brewhouse, STUCK)
    with time_machine.travel(at(135), tick=False):
        (words,) = told("fermentation_stuck")
    assert words.startswith("T1 in ")


def test_a_planned_brew_that_is_short_is_told_once_a_material(brewhouse: Brewhouse):
    sheet = sheet_of(brewhouse)
    plan_brew(
        code="P1",
        sheet=sheet,
        cold_wort_micro=micro("1000 L"),
        brew_on=(now() + timedelta(days=2)).date(),
        **brewhouse.by("brewing"),
    )
    words = told("brew_short")
    assert words
    assert all("are missing on" in one and "P1" in one for one in words)


def test_findings_of_the_proof_and_open_recalls_are_told(house: Brewhouse):
    prove_and_keep()
    assert any(words.startswith("No certificate: ") for words in told("proof_finding"))
    open_recall(lots=[house.lot("M1")], hazard="glass", is_mock=False, follow=["ingredient"], **house.by("quality"))
    (words,) = told("recall_open")
    assert words.endswith(": glass")
    with time_machine.travel(now() + timedelta(days=3), tick=False):
        assert len(told("proof_missed")) == 1
