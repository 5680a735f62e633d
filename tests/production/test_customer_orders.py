"""Customers' orders: entered, changed as they were seen, shipped in parts, taken back, called off."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.production.models import CustomerOrder, Pick, Shipment
from brewery.production.queries.customer_orders import customer_orders, in_state, orders_to_ship
from brewery.production.queries.delivery_notes import propose_note_number
from brewery.production.services.customer_orders import (
    WantedLine,
    call_off_customer_order,
    change_customer_order,
)
from brewery.production.services.dispatch import Papers, report_shipment, ship
from brewery.production.services.dispatch_refusals import (
    KeepsTooShort,
    LineIsPicked,
    MoreThanWanted,
    NoteNumberTaken,
    NothingPicked,
    OrderChangedMeanwhile,
    OrderNotOpen,
)
from inventory.models import Reservation
from inventory.services.customers import NoCustomer
from inventory.services.refusals import (
    InTheFuture,
    LotNotReleased,
    NotEnoughThere,
    NothingToDo,
    ReasonMissing,
    WrongMaterial,
)
from tests.brewhouse import Brewhouse, micro
from tests.ledger import postings, refused
from tests.production.dispatching import (
    asks_for,
    came_back,
    in_days,
    kegs,
    ordered,
    pallet_of,
    picked,
    progress,
    shipped,
)
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Twenty kegs that keep 100 days lie in the cold store."""
    kegs(brewhouse, "K1", 20, keeps=100)
    return brewhouse


def changed(house: Brewhouse, order: CustomerOrder, revision: int, **changes) -> CustomerOrder:
    by = house.by("receiving")
    return change_customer_order(order=order, revision=revision, changes=changes, **by)


def called_off(house: Brewhouse, order: CustomerOrder, reason: str = "the fair is off") -> CustomerOrder:
    return call_off_customer_order(order=order, reason=reason, **house.by("receiving"))


def test_an_order_that_cannot_be_is_refused(house: Brewhouse):
    saaz, keg = house.material("SAAZ"), house.material("KEG50")
    with refused(NothingToDo, "The order has no lines.", field="lines"):
        ordered(house, 0, lines=[])
    with refused(WrongMaterial, "Saaz is a hop; this needs packaged beer.", field="lines[0].material"):
        ordered(house, 0, lines=[WantedLine(saaz, 1)])
    with pytest.raises(InvalidInput, match="It is on the order already"):
        ordered(house, 0, lines=[WantedLine(keg, 1), WantedLine(keg, 2)])
    with pytest.raises(InvalidInput, match="Give 1 to"):
        ordered(house, 0)
    with pytest.raises(InvalidInput, match="Give a day from"):
        ordered(house, 1, days=-1)
    with refused(NoCustomer, "Stowfield Maltings is a supplier; this needs a customer.", field="customer"):
        ordered(house, 1, customer=house.party("MALTINGS"))
    for number in ("COLD", "customer:INN", " "):
        with pytest.raises(InvalidInput):
            ordered(house, 1, number)
    ordered(house, 1)
    with pytest.raises(InvalidInput, match="in use already"):
        ordered(house, 1)


def test_an_order_is_changed_as_it_was_seen(house: Brewhouse):
    order = ordered(house, 5)
    bottle = house.material("BOTTLE500")
    lines = [WantedLine(house.material("KEG50"), 3), WantedLine(bottle, 24)]
    later = changed(house, order, 1, wanted_on=in_days(5), lines=lines, note="ring first")
    assert (later.revision, later.note, later.wanted_on) == (2, "ring first", in_days(5))
    assert [(one.line.material.code, one.line.count) for one in progress(order).lines] == [
        ("KEG50", 3),
        ("BOTTLE500", 24),
    ]
    with refused(OrderChangedMeanwhile, "Order O1 is at revision 2; you looked at revision 1.", field="revision"):
        changed(house, order, 1, note="no")
    changed(house, order, 2, lines=lines[:1])
    assert len(progress(order).lines) == 1


def test_no_less_is_ordered_than_is_picked(house: Brewhouse):
    order = ordered(house, 5)
    picked(house, order, "K1", 4)
    sentence = "Of Quillmere Lager, 50 L keg, 4 are picked or shipped for order O1; 3 were asked for."
    with refused(LineIsPicked, sentence, field="lines"):
        changed(house, order, 2, lines=[WantedLine(house.material("KEG50"), 3)])
    assert changed(house, order, 2, lines=[WantedLine(house.material("KEG50"), 4)]).revision == 3
    assert progress(order).state == "picked"


def test_a_partial_shipment_leaves_the_rest_open(house: Brewhouse):
    order = ordered(house, 10)
    unit = pallet_of(house, "K1", 6)
    picked(house, order, "K1", 6, unit.sscc)
    event = shipped(house, order, papers=Papers("Ferry haulage", "QM 12", "Ada", "S-77"))
    assert postings(event) == {("K1", unit.sscc, "customer:INN", "6 each")}
    told = progress(order)
    assert (told.state, told.lines[0].shipped, told.lines[0].open) == ("open", 6, 4)
    assert not Reservation.objects.filter(purpose="O1", let_go_at=None)
    picked(house, order, "K1", 4)
    assert progress(order).state == "picked"
    shipped(house, order, "DN2")
    assert progress(order).state == "shipped"
    paper = Shipment.objects.get(event=event)
    assert (paper.carrier, paper.vehicle, paper.driver, paper.seal) == ("Ferry haulage", "QM 12", "Ada", "S-77")
    with refused(OrderNotOpen, "Order O1 is shipped.", field="order"):
        picked(house, order, "K1", 1)


def test_a_shipment_that_is_reversed_opens_the_order_again(house: Brewhouse):
    order = ordered(house, 4)
    picked(house, order, "K1", 4)
    house.reverse(shipped(house, order))
    told = progress(order)
    assert (told.state, told.picked, told.lines[0].open) == ("open", 0, 4)
    picked(house, order, "K1", 4)
    with pytest.raises(NoteNumberTaken, match="Delivery note DN1 went with the shipment of"):
        shipped(house, order)
    shipped(house, order, "DN2")
    assert progress(order).state == "shipped"


def test_a_shipment_of_which_something_came_back_is_not_reversed(house: Brewhouse):
    order = ordered(house, 4)
    picked(house, order, "K1", 4)
    event = shipped(house, order)
    came_back(house, "K1", 1)
    with refused(NotEnoughThere, "The Heron Inn holds 3 each of lot K1; 4 each was asked for.", field="quantity"):
        house.reverse(event)


def test_what_was_held_or_grew_old_after_picking_is_not_shipped(house: Brewhouse):
    kegs(house, "K2", 5, keeps=40)
    order = ordered(house, 5)
    picked(house, order, "K2", 2)
    asks_for(house, 60)
    day = in_days(2).isoformat()
    sentence = f"Lot K2 is not for The Heron Inn on {day}: it keeps 38 days, and 60 are asked for."
    with refused(KeepsTooShort, sentence, field="lot"):
        shipped(house, order)
    house.decide("K2", "on_hold", hours=5)
    with refused(LotNotReleased, "Lot K2 is on hold, so it cannot be used.", field="lot"):
        shipped(house, order, short_life_reason="the landlord knows")
    house.decide("K2", "released", hours=6)
    event = shipped(house, order, short_life_reason="the landlord knows")
    assert event.shipment.short_life_reason == "the landlord knows"


def test_a_reason_that_was_given_at_picking_still_holds(house: Brewhouse):
    kegs(house, "K2", 5, keeps=40)
    asks_for(house, 60)
    order = ordered(house, 5)
    picked(house, order, "K2", 2, short_life_reason="the landlord knows")
    assert postings(shipped(house, order)) == {("K2", "COLD", "customer:INN", "2 each")}


def test_a_shipment_without_an_order_heeds_what_the_customer_asks(house: Brewhouse):
    asks_for(house, 120)
    asked = {
        "customer": house.party("INN"),
        "note_number": "S1",
        "parts": house.parts([("K1", "COLD", "1 each")]),
        "happened_at": now(),
        **house.by("receiving"),
    }
    day = in_days(0).isoformat()
    sentence = f"Lot K1 is not for The Heron Inn on {day}: it keeps 100 days, and 120 are asked for."
    with refused(KeepsTooShort, sentence, field="lot"):
        ship(**asked)
    assert ship(**asked, short_life_reason="agreed").shipment.short_life_reason == "agreed"


def test_nothing_is_shipped_of_an_order_that_nothing_is_picked_for(house: Brewhouse):
    order = ordered(house, 5)
    with refused(NothingPicked, "Nothing is picked for order O1.", field="order"):
        shipped(house, order)
    picked(house, order, "K1", 1)
    with pytest.raises(InvalidInput, match="A delivery note has a number"):
        shipped(house, order, " ")


def test_calling_off_puts_back_what_is_picked_and_keeps_what_is_shipped(house: Brewhouse):
    order = ordered(house, 5)
    picked(house, order, "K1", 2)
    shipped(house, order)
    picked(house, order, "K1", 1)
    with refused(ReasonMissing, "Calling off an order needs a reason.", field="reason"):
        called_off(house, order, " ")
    called_off(house, order)
    told = progress(order)
    assert (told.state, told.picked, told.lines[0].shipped, told.lines[0].open) == ("called_off", 0, 2, 0)
    assert not Reservation.objects.filter(let_go_at=None)
    with refused(OrderNotOpen, "Order O1 is called off.", field="order"):
        called_off(house, order)
    with refused(OrderNotOpen, "Order O1 is called off.", field="order"):
        changed(house, order, order.revision + 4, note="again")


def test_orders_are_found_by_their_state_and_the_late_come_first(house: Brewhouse):
    off, part, whole, ready, fresh = (ordered(house, 2, f"O{number}", days=number) for number in range(1, 6))
    called_off(house, off)
    picked(house, part, "K1", 1)
    picked(house, ready, "K1", 2)
    picked(house, whole, "K1", 2)
    shipped(house, whole)
    found = {state: [one.number for one in in_state(customer_orders(), state)] for state in CustomerOrder.State.values}
    assert found == {"open": ["O2", "O5"], "picked": ["O4"], "shipped": ["O3"], "called_off": ["O1"]}
    for state, numbers in found.items():
        assert {progress(CustomerOrder.objects.get(number=one)).state for one in numbers} == {state}
    assert [one.order.number for one in orders_to_ship()] == ["O2", "O4", fresh.number]
    assert orders_to_ship()[0].is_late(in_days(3))
    assert not orders_to_ship()[0].is_late(in_days(2))


def test_note_numbers_of_a_day_follow_each_other(house: Brewhouse):
    first = propose_note_number()
    assert first.startswith("DN")
    assert first.endswith("-01")
    order = ordered(house, 2)
    picked(house, order, "K1", 1)
    house.reverse(shipped(house, order, first))
    assert propose_note_number().endswith("-02")


def test_the_papers_of_a_shipment_and_what_was_shipped_stay(house: Brewhouse):
    order = ordered(house, 2)
    picked(house, order, "K1", 1)
    shipped(house, order)
    with pytest.raises(DatabaseError), transaction.atomic():
        Shipment.objects.update(carrier="another")
    with pytest.raises(DatabaseError), transaction.atomic():
        Pick.objects.update(shipment=None)
    assert house.held("K1", "customer:INN") == micro("1 each")


def test_an_order_that_was_taken_earlier_is_wanted_from_its_own_day_on(house: Brewhouse):
    taken = now() - timedelta(days=20)
    order = ordered(house, 6, days=-15, entered_at=taken)
    assert order.entered_at == taken
    with pytest.raises(InvalidInput, match="Give a day from"):
        ordered(house, 6, "O2", days=-25, entered_at=taken)
    with pytest.raises(InTheFuture):
        ordered(house, 6, "O3", entered_at=now() + timedelta(hours=1))


def test_what_is_told_to_have_left_for_an_order_counts_as_picked_and_shipped(house: Brewhouse):
    order = ordered(house, 12)
    picked(house, order, "K1", 4)

    def told(much: str, note: str) -> None:
        asked = {"order": order, "note_number": note, "happened_at": now(), **house.by("receiving")}
        report_shipment(**asked, parts=house.parts([("K1", "COLD", much)]))

    told("5 each", "T1")
    (line,) = progress(order).lines
    assert (line.shipped, line.picked, line.open, house.held("K1", "customer:INN")) == (5, 4, 3, micro("5 each"))
    for much, note, refusal in (("4 each", "T2", MoreThanWanted), ("1 each", "T1", NoteNumberTaken)):
        with pytest.raises(refusal):
            told(much, note)
    with pytest.raises(InvalidInput, match="leave whole"):
        told("0.5 each", "T3")
