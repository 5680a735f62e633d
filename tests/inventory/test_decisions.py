"""Decisions: who released, held or rejected a lot, when and why; the last one holds."""

import itertools

import pytest

from brewery.kernel.errors import InvalidInput
from inventory.models import Decision
from inventory.models.dispositions import Disposition, strictest
from inventory.services.refusals import InTheFuture, ReasonMissing
from tests.brewhouse import Brewhouse, at
from tests.ledger import refused
from tests.standing import built_once


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    return brewhouse


@pytest.mark.parametrize("disposition", Disposition.values)
def test_a_lot_is_what_was_decided(hops: Brewhouse, disposition: str):
    decision = hops.decide("H1", disposition, hours=2, reason="laboratory report 12")
    assert hops.lot("H1").disposition == disposition
    decision.refresh_from_db()
    assert (decision.before, decision.after, decision.reason) == ("released", disposition, "laboratory report 12")
    assert (decision.happened_at, decision.actor) == (at(2), hops.people["quality"])
    assert decision.recorded_at > at(2)


def test_a_later_decision_takes_over_and_the_earlier_stays_on_record(hops: Brewhouse):
    hops.decide("H1", "on_hold", hours=1)
    hops.decide("H1", "released", hours=2)
    assert hops.lot("H1").disposition == "released"
    steps = Decision.objects.values_list("before", "after")
    assert list(steps) == [("released", "on_hold"), ("on_hold", "released")]


def test_what_is_no_disposition_is_refused(hops: Brewhouse):
    sentence = "decision: 'blocked' is not valid. Choose one of: quarantined, released, on_hold, rejected."
    with refused(InvalidInput, sentence, field="decision"):
        hops.decide("H1", "blocked", hours=1)


def test_a_decision_without_a_reason_is_refused(hops: Brewhouse):
    with refused(ReasonMissing, "A decision on a lot needs a reason.", field="reason"):
        hops.decide("H1", "on_hold", hours=1, reason="")


def test_a_decision_in_the_future_is_refused(hops: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        hops.decide("H1", "on_hold", hours=24 * 36500)


@pytest.mark.parametrize(
    ("strict", "mild"), list(itertools.combinations(["rejected", "on_hold", "quarantined", "released"], 2))
)
def test_the_stricter_of_two_dispositions_is_found_in_either_order(strict: str, mild: str):
    assert strictest(strict, mild) == strictest(mild, strict) == strict
