"""Holds on a lot and on all that comes of it: nothing under one is used or shipped, and its children neither."""

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.errors import DomainError, InvalidInput
from inventory.models import Link, Lot
from inventory.services.decisions import NotDecided, SeenLot, decide_on_lots
from inventory.services.holds import LotUnderHold
from inventory.services.refusals import LotNotReleased, ReasonMissing
from tests.brewhouse import Brewhouse, rid
from tests.inventory.laboratory import GOOD, Laboratory
from tests.ledger import refused
from tests.standing import built_once
from traceability.models import HeldLot, Hold
from traceability.queries.families import family_of
from traceability.queries.graph import ALL_KINDS
from traceability.services.holds import HoldOver, NotUnderHold, place_hold, release_hold

ALL = ("ingredient", "culture", "carryover")


def hold(house: Brewhouse, *lots: str, follow: tuple[str, ...] = ALL, reason: str = "glass in the malt") -> Hold:
    return place_hold(lots=[house.lot(code) for code in lots], follow=follow, reason=reason, **house.by("quality"))


def let_go(house: Brewhouse, one: Hold, *lots: str) -> None:
    named = [house.lot(code) for code in lots] if lots else None
    release_hold(hold=one, reason="nothing was found", lots=named, **house.by("quality"))


def dispositions(house: Brewhouse, *codes: str) -> list[str]:
    return [house.lot(code).disposition for code in codes]


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    return brewhouse


def test_all_that_came_of_a_lot_is_held_and_cannot_be_shipped(house: Brewhouse):
    made = hold(house, "M1")
    held = set(HeldLot.objects.filter(hold=made).values_list("lot__code", flat=True))
    assert {"M1", "W1", "T1", "KEG1"} <= held
    assert not {"H1", "Y1", "K1"} & held
    with refused(LotNotReleased, "Lot KEG1 is on hold, so it cannot be used.", field="lot"):
        house.ship("INN", ("KEG1", "STORE", "1 each"), hours=900, note="S9")


def test_a_hold_over_chosen_links_reaches_no_further(house: Brewhouse):
    made = hold(house, "Y1", follow=("culture",))
    assert set(made.held.values_list("lot__code", flat=True)) <= {"Y1", "Y2", "Y3"}
    assert house.lot("KEG1").disposition == "released"
    assert (made.kinds, made.kinds_in_words) == ({Link.Kind.CULTURE}, "culture")


def test_what_is_made_of_a_held_lot_all_the_same_is_held_in_the_same_event(brewhouse: Brewhouse):
    """M1 and H1 lie in the brew when M1 is held; quality has it knocked out all the same."""
    house = brewhouse
    house.stock_up()
    brew = house.start_brew("B1", hours=2)
    house.draw(brew, ("M1", "SILO1", "100 kg"), ("H1", "STORE", "1 kg"), hours=2)
    made = hold(house, "M1")
    with pytest.raises(LotNotReleased):
        house.knock_out(brew, "W1", {"FV1": "500 L"}, hours=5)
    house.knock_out(brew, "W1", {"FV1": "500 L"}, hours=5, override="it would spoil in the kettle", role="quality")
    row = HeldLot.objects.get(lot=house.lot("W1"))
    assert (row.hold, row.event, row.returns_to) == (made, house.lot("W1").made_by, "released")
    assert house.lot("W1").disposition == "on_hold"
    with pytest.raises(LotNotReleased):
        house.pitch("FV1", "T1", ("Y1", "COLD", "5 kg"), hours=6)
    let_go(house, made)
    assert dispositions(house, "M1", "W1") == ["released", "released"]


def test_under_two_holds_a_lot_stays_held_until_both_are_released(house: Brewhouse):
    first, second = hold(house, "M1"), hold(house, "H1")
    let_go(house, second)
    assert dispositions(house, "H1", "KEG1") == ["released", "on_hold"]
    let_go(house, first)
    assert dispositions(house, "M1", "KEG1") == ["released", "released"]
    with refused(HoldOver, f"All lots were released from hold {first.pk} already.", field="hold"):
        let_go(house, first)


def test_some_lots_are_released_and_what_is_made_of_them_is_free(house: Brewhouse):
    made = hold(house, "M1")
    let_go(house, made, "M1")
    assert dispositions(house, "M1", "W1") == ["released", "on_hold"]
    house.draw(house.start_brew("B9", hours=900), ("M1", "SILO1", "1 kg"), hours=900)
    with refused(NotUnderHold, f"Lot M1 is not under hold {made.pk}, or was released from it already.", field="lots"):
        let_go(house, made, "M1")


def test_nobody_releases_a_lot_round_its_hold(house: Brewhouse):
    made = hold(house, "M1")
    sentence = f"Lot W1 is under hold {made.pk}, so it cannot be released."
    with refused(LotUnderHold, sentence, field="lot"):
        house.decide("W1", "released", hours=900)
    with pytest.raises(NotDecided), transaction.atomic():
        decide_on_lots(
            lots=[SeenLot(house.lot("W1"))], disposition="quarantined", reason="looked at", **house.by("quality")
        )
    with pytest.raises(IntegrityError, match="a_lot_under_a_hold_stays_held_back"), transaction.atomic():
        Lot.objects.filter(code="W1").update(disposition="released")


def test_what_a_person_decided_meanwhile_outlasts_the_hold(house: Brewhouse):
    made = hold(house, "M1")
    house.decide("KEG1", "rejected", hours=900)
    house.decide("H1", "on_hold", hours=900)
    second = hold(house, "H1")
    let_go(house, second)
    let_go(house, made)
    assert dispositions(house, "KEG1", "H1", "T1") == ["rejected", "on_hold", "released"]


def test_a_lot_whose_results_went_bad_meanwhile_goes_to_quarantine(brewhouse: Brewhouse):
    lab = Laboratory(brewhouse)
    lab.ask_for_malt("PILS")
    brewhouse.deliver("PILS", "M1", "100 kg")
    made = hold(brewhouse, "M1")
    lab.enter("M1", number="A-7", values={**GOOD, "moisture": "5.2"})
    let_go(brewhouse, made)
    assert brewhouse.lot("M1").disposition == "quarantined"


def test_a_hold_that_is_asked_for_twice_is_placed_once(house: Brewhouse):
    by = {"actor": house.people["quality"], "request_id": rid()}
    asked = {"lots": [house.lot("M1")], "follow": ["ingredient"], "reason": "glass", **by}
    assert place_hold(**asked) == place_hold(**asked)
    assert Hold.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "refusal", "field"),
    [
        ({"reason": ""}, ReasonMissing, "reason"),
        ({"lots": []}, DomainError, "lots"),
        ({"follow": []}, InvalidInput, "follow"),
        ({"follow": ["air"]}, InvalidInput, "follow"),
    ],
)
def test_a_hold_that_cannot_be_is_refused(brewhouse: Brewhouse, change, refusal, field):
    brewhouse.deliver("PILS", "M1", "100 kg")
    asked = {"lots": [brewhouse.lot("M1")], "follow": ["ingredient"], "reason": "glass", **change}
    with pytest.raises(refusal):
        place_hold(**asked, **brewhouse.by("quality"))
    assert not Hold.objects.exists()


def test_a_release_is_never_taken_back_nor_a_hold_changed(house: Brewhouse):
    made = hold(house, "M1")
    let_go(house, made)
    for change in (
        lambda: HeldLot.objects.update(released_by=None),
        lambda: Hold.objects.update(reason="none"),
        lambda: HeldLot.objects.all()._raw_delete("default"),
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            change()


def test_a_preview_counts_lots_tanks_packages_and_customers(house: Brewhouse):
    family = family_of({house.lot("M1").pk}, ALL_KINDS)
    assert [member.lot.code for member in family.members if member.is_start] == ["M1"]
    assert [party.code for party in family.customers] == ["INN"]
    assert (family.packages_out, family.packages_here) == (3, 7)
    assert {place.code for place in family.tanks} <= {"FV1", "FV2", "BT1"}
