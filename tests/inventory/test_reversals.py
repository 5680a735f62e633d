"""Reversals: a mistake is mirrored at its own moment, and whatever was made by it no longer counts."""

from collections.abc import Callable

import pytest

from inventory.models import Event, Link, Lot
from inventory.queries.ledger import ledger_of
from inventory.services.refusals import (
    AlreadyReversed,
    NotEnoughThen,
    NotEnoughThere,
    NotReversible,
    OutputInUse,
    ReasonMissing,
    VesselOccupiedThen,
)
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import everything_written, links, postings, refused
from tests.standing import built_once


@built_once
def stocked(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


def balances() -> dict[tuple[str, str], int]:
    """What lies where of lots that count, nothing left out but zeros."""
    rows = Lot.objects.filter(reversed_by=None, balances__quantity_micro__gt=0)
    return {
        (code, place): quantity
        for code, place, quantity in rows.values_list("code", "balances__location__code", "balances__quantity_micro")
        if place not in ("supplier:MALTINGS", "supplier:HOPYARD", "transformed", "count_difference")
    }


def test_a_reversal_mirrors_the_event_at_its_own_moment(stocked: Brewhouse):
    mistake = stocked.move("H1", "STORE", "COLD", "5 kg", hours=3)
    reversal = stocked.reverse(mistake, reason="wrong shelf")
    assert postings(reversal) == {("H1", "COLD", "STORE", "5 kg")}
    assert (reversal.kind, reversal.reverses, reversal.reason) == (Event.Kind.REVERSE, mistake, "wrong shelf")
    assert reversal.happened_at == mistake.happened_at == at(3)
    assert reversal.recorded_at > mistake.recorded_at
    assert [row.is_reversed for row in ledger_of(stocked.lot("H1"))] == [False, True, True]


STEPS: dict[str, Callable[[Brewhouse], Event]] = {
    "deliver": lambda house: house.deliver("SAAZ", "X1", "5 kg", hours=500),
    "refill": lambda house: house.deliver("PILS", "X1", "5 kg", "SILO1", hours=500, contents_code="X2"),
    "move": lambda house: house.move("H1", "STORE", "COLD", "5 kg", hours=500),
    "count up": lambda house: house.count("H1", "STORE", "19 kg", hours=500),
    "count down": lambda house: house.count("H1", "STORE", "17 kg", hours=500),
    "agree": lambda house: house.count("H1", "STORE", "18 kg", hours=500),
    "destroy": lambda house: house.destroy("KEG1", "COLD", "1 each", hours=500),
    "sample": lambda house: house.sample("BB1", "BT1", "1 L", hours=500),
    "harvest": lambda house: house.harvest("BT1", "10 L", "X1", "11 kg", "COLD", hours=500),
    "propagate": lambda house: house.propagate("X1", ("Y1", "COLD", "1 kg"), ("M1", "SILO1", "1 kg"), hours=500),
    "add": lambda house: house.add("BT1", "X1", ("F1", "COLD", "1 L"), hours=500),
    "pitch": lambda house: house.pitch("BT1", "X1", ("Y1", "COLD", "1 kg"), hours=500),
    "transfer": lambda house: house.transfer("BT1", "FV2", "50 L", loss="1 L", hours=500),
    "kraeusen": lambda house: house.transfer("FV1", "BT1", "9 L", kind="kraeusen", contents="X1", hours=500),
    "filter": lambda house: house.filter("BT1", "FV2", "X1", "50 L", ("A1", "STORE", "1 kg"), loss="1 L", hours=500),
    "ship": lambda house: house.ship("MARKET", ("KEG1", "COLD", "1 each"), hours=500),
    "take back": lambda house: house.take_back("INN", ("KEG1", "COLD", "1 each"), hours=500),
    "draw": lambda house: house.draw(house.start_brew("B9", hours=500), ("H1", "STORE", "1 kg"), hours=500),
}


@pytest.mark.usefixtures("whole_chain")
@pytest.mark.parametrize("step", STEPS)
def test_after_a_reversal_all_is_as_if_it_had_not_happened(brewhouse: Brewhouse, step: str):
    before = balances()
    mistake = STEPS[step](brewhouse)
    reversal = brewhouse.reverse(mistake)
    assert balances() == before
    assert set(mistake.links.values_list("reversed_by", flat=True)) <= {reversal.pk}
    assert set(mistake.made_lots.values_list("reversed_by", flat=True)) <= {reversal.pk}
    assert not Link.objects.exclude(event=mistake).exclude(reversed_by=None).exists()


@pytest.mark.usefixtures("whole_chain")
def test_the_chain_can_be_taken_back_from_its_end_to_its_beginning(brewhouse: Brewhouse):
    for event in list(Event.objects.order_by("-happened_at", "-pk")):
        brewhouse.reverse(event)
    assert balances() == {}
    assert not Lot.objects.filter(reversed_by=None).exists()
    assert not Link.objects.filter(reversed_by=None).exists()


def test_after_a_reversal_the_same_is_recorded_again_under_the_same_code(stocked: Brewhouse):
    stocked.ferment()
    mistake = stocked.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
    stocked.reverse(mistake)
    right = stocked.add("FV1", "D1", ("H2", "STORE", "4 kg"), hours=100)
    assert links(right) == {("T1", "D1", "ingredient", "1000 L"), ("H2", "D1", "ingredient", "4 kg")}
    assert Lot.objects.filter(code="D1").count() == 2
    assert stocked.held("H2", "STORE") == micro("16 kg")


def test_a_knock_out_is_reversed_and_told_again(stocked: Brewhouse):
    brew = stocked.start_brew("B1", hours=1)
    stocked.draw(brew, ("M1", "SILO1", "200 kg"), hours=1)
    stocked.reverse(stocked.knock_out(brew, "W1", {"FV1": "900 L"}, hours=8))
    assert (stocked.held("M1", "B1"), stocked.held("W1", "FV1")) == (micro("200 kg"), 0)
    stocked.bring_back(brew, ("M1", "SILO1", "10 kg"), hours=8)
    event = stocked.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    assert links(event) == {("M1", "W1", "ingredient", "190 kg")}


def test_a_reversal_does_not_ask_whether_a_lot_is_released(stocked: Brewhouse):
    stocked.ferment()
    mistake = stocked.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
    stocked.decide("D1", "on_hold", hours=101)
    stocked.decide("T1", "rejected", hours=101)
    stocked.reverse(mistake)
    assert stocked.held("T1", "FV1") == micro("1000 L")


@pytest.mark.usefixtures("whole_chain")
def test_an_event_whose_output_went_on_is_refused_naming_what_depends_on_it(brewhouse: Brewhouse):
    knock_out = Event.objects.get(kind=Event.Kind.KNOCK_OUT)
    sentence = "The knock out of 2026-03-02 19:00 cannot be reversed: lot W1 went on in the pitch of 2026-03-02 20:00."
    with refused(OutputInUse, sentence, field="event"):
        brewhouse.reverse(knock_out)


@pytest.mark.parametrize(
    "step",
    [
        lambda house: house.move("X1", "STORE", "COLD", "1 kg", hours=5),
        lambda house: house.count("X1", "STORE", "4 kg", hours=5),
        lambda house: house.sample("X1", "STORE", "1 kg", hours=5),
        lambda house: house.destroy("X1", "STORE", "1 kg", hours=5),
    ],
)
def test_a_delivery_stands_while_anything_was_done_with_its_lot(stocked: Brewhouse, step: Callable[[Brewhouse], Event]):
    mistake = stocked.deliver("SAAZ", "X1", "5 kg", hours=1)
    later = step(stocked)
    words = later.get_kind_display()
    sentence = f"The receive of 2026-03-02 10:00 cannot be reversed: lot X1 went on in the {words} of 2026-03-02 14:00."
    with refused(OutputInUse, sentence, field="event"):
        stocked.reverse(mistake)
    stocked.reverse(later)
    stocked.reverse(mistake)
    assert not Lot.objects.filter(code="X1", reversed_by=None).exists()


def test_a_draw_is_not_reversed_after_the_knock_out(stocked: Brewhouse):
    brew = stocked.start_brew("B1", hours=1)
    draw = stocked.draw(brew, ("M1", "SILO1", "200 kg"), hours=1)
    stocked.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    with refused(NotEnoughThere, "Brew B1 holds 0 kg of lot M1; 200 kg was asked for."):
        stocked.reverse(draw)


def test_a_move_is_not_reversed_where_its_lot_was_missing_meanwhile(stocked: Brewhouse):
    mistake = stocked.move("H1", "STORE", "COLD", "15 kg", hours=3)
    stocked.move("H1", "COLD", "STORE", "10 kg", hours=4)
    stocked.move("H1", "STORE", "COLD", "10 kg", hours=5)
    sentence = "At 2026-03-02 13:00, Cold store would have held 10 kg less than nothing of lot H1."
    with refused(NotEnoughThen, sentence):
        stocked.reverse(mistake)


def test_a_transfer_is_not_reversed_where_its_tank_held_something_else_meanwhile(stocked: Brewhouse):
    stocked.ferment()
    mistake = stocked.transfer("FV1", "BT1", "1000 L", hours=100)
    stocked.clean("FV1", hours=100)
    stocked.ferment(number=2, hours=101)
    stocked.transfer("FV1", "FV2", "1000 L", hours=200)
    sentence = "At 2026-03-06 22:00, Fermenter 1 would have held lots T1 and W2 at once."
    with refused(VesselOccupiedThen, sentence, field="happened_at"):
        stocked.reverse(mistake)


def test_a_reversal_without_a_reason_is_refused(stocked: Brewhouse):
    mistake = stocked.move("H1", "STORE", "COLD", "5 kg", hours=3)
    with refused(ReasonMissing, "A reversal needs a reason.", field="reason"):
        stocked.reverse(mistake, reason="")


def test_what_is_reversed_already_is_refused(stocked: Brewhouse):
    mistake = stocked.move("H1", "STORE", "COLD", "5 kg", hours=3)
    reversal = stocked.reverse(mistake)
    written = everything_written()
    with pytest.raises(AlreadyReversed) as caught:
        stocked.reverse(mistake)
    assert str(caught.value).startswith("The move of 2026-03-02 12:00 was reversed on ")
    assert str(caught.value).endswith(". Record it again if it did happen.")
    assert caught.value.facts["reversed_moment"][:4] == str(reversal.recorded_at.year)
    assert everything_written() == written


def test_a_count_that_agreed_is_reversed_once_too(stocked: Brewhouse):
    count = stocked.count("H1", "STORE", "20 kg", hours=3)
    assert postings(stocked.reverse(count)) == set()
    with pytest.raises(AlreadyReversed):
        stocked.reverse(count)


def test_a_reversal_is_not_reversed(stocked: Brewhouse):
    reversal = stocked.reverse(stocked.move("H1", "STORE", "COLD", "5 kg", hours=3))
    with refused(NotReversible, f"Event {reversal.pk} is itself a reversal.", field="event"):
        stocked.reverse(reversal)
