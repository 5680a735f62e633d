"""Orders: what is expected, what has come of it, and what will not come any more."""

from datetime import date

import pytest

from brewery.kernel.errors import InvalidInput
from inventory.models import Delivery, DeliveryLine, Event, OrderLine, PurchaseOrder
from inventory.queries.orders import due_by, expected_from, open_orders, order_lines, progress_of
from inventory.services.deliveries import OrderedElsewhere, ReceivedLot, receive_delivery
from inventory.services.orders import (
    NoSupplier,
    OrderClosed,
    OrderedLine,
    OrderNumberTaken,
    close_order,
    enter_order,
)
from inventory.services.refusals import NothingToDo, ReasonMissing
from tests.brewhouse import Brewhouse, at, micro, rid

KG = 10**6
ORDERED, DUE, LATER = date(2026, 2, 20), date(2026, 3, 2), date(2026, 3, 9)


def ordered(house: Brewhouse, material: str, quantity: str, due_on: date = DUE, reference: str = "") -> OrderedLine:
    return OrderedLine(house.material(material), micro(quantity), due_on, reference)


def order(house: Brewhouse, *lines: OrderedLine, number: str = "PO-1", supplier: str = "HOPYARD") -> PurchaseOrder:
    return enter_order(
        number=number,
        supplier=house.party(supplier),
        ordered_on=ORDERED,
        lines=lines or [ordered(house, "SAAZ", "20 kg"), ordered(house, "CASCADE", "10 kg", LATER)],
        **house.by("receiving"),
    )


def come(house: Brewhouse, of: PurchaseOrder, position: int, material: str, lot: str, quantity: str) -> Event:
    """A booked delivery, written by hand, has brought this for a line of the order."""
    event = house.deliver(material, lot, quantity, supplier=of.supplier.code, note=lot)
    delivery = Delivery.objects.create(
        supplier=of.supplier,
        arrived_at=at(0),
        opened_at=at(0),
        changed_at=at(0),
        opened_by=house.people["receiving"],
        state="booked",
        event=event,
    )
    DeliveryLine.objects.create(
        delivery=delivery,
        position=1,
        order_line=of.lines.get(position=position),
        material=house.material(material),
        quantity_micro=micro(quantity),
        lot=house.lot(lot),
    )
    return event


def progress(of: PurchaseOrder) -> list[tuple[int, int, int]]:
    """Return received, outstanding and over of each line, in whole units."""
    rows = progress_of(order_lines().filter(order=of).order_by("position"))
    return [(row.received_micro // KG, row.outstanding_micro // KG, row.over_micro // KG) for row in rows]


def test_an_order_is_expected_line_by_line_as_it_falls_due(brewhouse: Brewhouse):
    order(brewhouse)
    order(brewhouse, ordered(brewhouse, "PILS", "5000 kg", date(2026, 3, 5)), number="PO-2", supplier="MALTINGS")
    lines = due_by(LATER)
    assert [(row.line.order.number, row.line.material.code) for row in lines] == [
        ("PO-1", "SAAZ"),
        ("PO-2", "PILS"),
        ("PO-1", "CASCADE"),
    ]
    assert [row.line.material.code for row in expected_from(brewhouse.party("HOPYARD"))] == ["SAAZ", "CASCADE"]
    assert [row.line.material.code for row in due_by(DUE)] == ["SAAZ"]
    assert [row.is_late(DUE) for row in lines] == [False, False, False]
    assert [row.is_late(LATER) for row in lines] == [True, True, False]


def test_an_order_comes_in_parts_and_too_much_is_told(brewhouse: Brewhouse):
    placed = order(brewhouse)
    assert progress(placed) == [(0, 20, 0), (0, 10, 0)]
    come(brewhouse, placed, 1, "SAAZ", "H1", "15 kg")
    assert progress(placed) == [(15, 5, 0), (0, 10, 0)]
    come(brewhouse, placed, 1, "SAAZ", "H2", "8 kg")
    assert progress(placed) == [(23, 0, 3), (0, 10, 0)]
    assert [row.line.material.code for row in expected_from(placed.supplier)] == ["CASCADE"]


def test_an_order_is_open_until_all_of_it_has_come(brewhouse: Brewhouse):
    placed = order(brewhouse)
    come(brewhouse, placed, 1, "SAAZ", "H1", "20 kg")
    assert list(open_orders()) == [placed]
    come(brewhouse, placed, 2, "CASCADE", "H2", "10 kg")
    assert list(open_orders()) == []


def test_another_material_than_was_ordered_leaves_the_line_outstanding(brewhouse: Brewhouse):
    placed = order(brewhouse)
    come(brewhouse, placed, 1, "CASCADE", "H1", "20 kg")
    assert progress(placed) == [(0, 20, 0), (0, 10, 0)]


def test_what_was_booked_by_mistake_and_reversed_is_still_to_come(brewhouse: Brewhouse):
    placed = order(brewhouse)
    event = come(brewhouse, placed, 1, "SAAZ", "H1", "20 kg")
    brewhouse.reverse(event)
    assert progress(placed)[0] == (0, 20, 0)


def test_a_closed_order_expects_nothing_more(brewhouse: Brewhouse):
    placed = order(brewhouse)
    closed = close_order(order=placed, reason="the crop failed", **brewhouse.by("receiving"))
    assert (closed.closed_reason, closed.closed_at is not None) == ("the crop failed", True)
    assert list(open_orders()) == due_by(LATER) == []
    assert progress(placed) == [(0, 0, 0), (0, 0, 0)]
    with pytest.raises(OrderClosed, match=r"PO-1 was closed on .*: the crop failed"):
        close_order(order=placed, reason="again", **brewhouse.by("receiving"))


def test_closing_needs_a_reason(brewhouse: Brewhouse):
    with pytest.raises(ReasonMissing):
        close_order(order=order(brewhouse), reason="  ", **brewhouse.by("receiving"))


def test_a_repeated_entry_is_one_order_and_its_number_is_used_once(brewhouse: Brewhouse):
    once = {
        "number": "PO-9",
        "supplier": brewhouse.party("HOPYARD"),
        "ordered_on": ORDERED,
        "lines": [ordered(brewhouse, "SAAZ", "1 kg")],
        "actor": brewhouse.people["receiving"],
    }
    request = rid()
    assert enter_order(**once, request_id=request) == enter_order(**once, request_id=request)
    with pytest.raises(OrderNumberTaken, match="PO-9 with Larkham Hop Yard is entered already, of 2026-02-20"):
        enter_order(**once, request_id=rid())
    assert PurchaseOrder.objects.count() == 1


def test_an_order_without_lines_number_or_supplier_is_refused(brewhouse: Brewhouse):
    head = {"ordered_on": ORDERED, **brewhouse.by("receiving")}
    line = ordered(brewhouse, "SAAZ", "1 kg")
    with pytest.raises(NothingToDo):
        enter_order(number="1", supplier=brewhouse.party("HOPYARD"), lines=[], **head)
    with pytest.raises(InvalidInput, match="An order has a number"):
        enter_order(number=" ", supplier=brewhouse.party("HOPYARD"), lines=[line], **head)
    with pytest.raises(NoSupplier, match="The Heron Inn is a customer"):
        enter_order(number="1", supplier=brewhouse.party("INN"), lines=[line], **head)


@pytest.mark.parametrize(
    ("quantity", "due_on", "field"),
    [("0 kg", DUE, "lines[1].quantity"), ("1 kg", date(2026, 2, 19), "lines[1].due_on")],
)
def test_a_line_that_cannot_be_is_refused_by_its_place(brewhouse: Brewhouse, quantity, due_on, field):
    lines = [ordered(brewhouse, "SAAZ", "1 kg"), ordered(brewhouse, "SAAZ", quantity, due_on)]
    with pytest.raises(InvalidInput) as refused:
        order(brewhouse, *lines)
    assert refused.value.field == field


def arrive(house: Brewhouse, material: str, line: OrderLine, supplier: str = "HOPYARD", lot: str = "H1") -> Event:
    place = house.place("STORE")
    received = ReceivedLot(house.material(material), lot, micro("5 kg"), place, order_line=line)
    return receive_delivery(
        supplier=house.party(supplier),
        note_number="N-7",
        lines=[received],
        happened_at=at(1),
        **house.by("receiving"),
    )


def test_a_delivery_that_names_what_was_ordered_counts_towards_it(brewhouse: Brewhouse):
    line = order(brewhouse).lines.get(position=1)
    event = arrive(brewhouse, "SAAZ", line)
    assert [one.received_micro for one in progress_of(order_lines().filter(pk=line.pk))] == [5 * KG]
    (booked,) = event.delivery.lines.all()
    assert (booked.lot, booked.location.code, event.delivery.state) == (brewhouse.lot("H1"), "STORE", "booked")


def test_a_delivery_that_names_another_s_order_is_refused(brewhouse: Brewhouse):
    line = order(brewhouse).lines.get(position=1)
    with pytest.raises(OrderedElsewhere):
        arrive(brewhouse, "CASCADE", line)
    with pytest.raises(OrderedElsewhere):
        arrive(brewhouse, "SAAZ", line, supplier="MALTINGS")
    assert not Event.objects.exists()
