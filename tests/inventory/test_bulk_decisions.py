"""Decisions on many lots at once: all of them or none, and each refusal names its lot."""

from typing import Any

import pytest

from brewery.kernel.errors import InvalidInput, RequestIdReused
from inventory.models import Decision
from inventory.services.decisions import NotDecided, SeenLot, decide_on_lots
from inventory.services.refusals import InTheFuture, NothingToDo, ReasonMissing
from tests.brewhouse import Brewhouse, at, rid
from tests.ledger import refused
from tests.standing import built_once

LOTS = ("M1", "M2", "M3")


@built_once
def malts(brewhouse: Brewhouse) -> Brewhouse:
    for number, code in enumerate(LOTS):
        brewhouse.deliver("MUNICH", code, "100 kg", note=str(number))
    return brewhouse


def decide(house: Brewhouse, *codes: str, to: str = "released", seen: str = "", **more: Any) -> Decision:
    lots = [SeenLot(house.lot(code), seen) for code in codes]
    facts = {"reason": "the laboratory is content", "happened_at": at(2), **house.by("quality"), **more}
    return decide_on_lots(lots=lots, disposition=to, **facts)


def dispositions(house: Brewhouse) -> list[str]:
    return [house.lot(code).disposition for code in LOTS]


@pytest.mark.parametrize("to", ["released", "on_hold", "rejected"])
def test_all_lots_are_decided_on_in_one_request(malts: Brewhouse, to: str):
    first = decide(malts, *LOTS, to=to, seen="quarantined")
    assert dispositions(malts) == [to] * 3
    rows = [(row.lot.code, row.before, row.after, row.reason) for row in first.request.decisions.all()]
    assert rows == [(code, "quarantined", to, "the laboratory is content") for code in LOTS]


def test_the_same_request_decides_once(malts: Brewhouse):
    key = rid()
    assert decide(malts, *LOTS, request_id=key) == decide(malts, *LOTS, request_id=key)
    assert Decision.objects.count() == 3
    with pytest.raises(RequestIdReused, match="another lots"):
        decide(malts, "M1", request_id=key)


def test_what_was_decided_meanwhile_is_told_lot_by_lot_and_nothing_is_decided(malts: Brewhouse):
    malts.decide("M1", "rejected", hours=1)
    malts.decide("M3", "on_hold", hours=1)
    with refused(NotDecided, "Nothing was decided: 2 of the lots stand against it."):
        decide(malts, *LOTS, seen="quarantined")
    with pytest.raises(NotDecided) as caught:
        decide(malts, *LOTS, seen="quarantined")
    assert [(fault.field, str(fault).split(".")[0]) for fault in caught.value.all_faults()] == [
        ("lots[0].lot", "Lot M1 was quarantined when you looked and is rejected now"),
        ("lots[2].lot", "Lot M3 was quarantined when you looked and is on hold now"),
    ]
    assert dispositions(malts) == ["rejected", "quarantined", "on_hold"]


def test_a_lot_named_twice_or_made_by_mistake_is_told(malts: Brewhouse):
    mistaken = malts.lot("M2")
    malts.reverse(mistaken.made_by)
    lots = [SeenLot(malts.lot("M1")), SeenLot(mistaken), SeenLot(malts.lot("M1"))]
    with pytest.raises(NotDecided) as caught:
        decide_on_lots(lots=lots, disposition="released", reason="x", happened_at=at(2), **malts.by("quality"))
    assert [str(fault).split(".")[0] for fault in caught.value.all_faults()] == [
        "Lot M2 was recorded by mistake, and that record was reversed",
        "Lot M1 is named twice",
    ]


def test_a_decision_on_many_needs_lots_a_reason_a_disposition_and_a_time_that_has_come(malts: Brewhouse):
    with refused(NothingToDo, "The decision has no lines."):
        decide(malts)
    with refused(ReasonMissing, "A decision on a lot needs a reason.", field="reason"):
        decide(malts, "M1", reason="")
    with refused(
        InvalidInput,
        "decision: 'blocked' is not valid. Choose one of: quarantined, released, on_hold, rejected.",
        field="decision",
    ):
        decide(malts, "M1", to="blocked")
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="happened_at"):
        decide(malts, "M1", happened_at=at(24 * 36500))
