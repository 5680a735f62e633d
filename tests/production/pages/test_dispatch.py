"""The pages of dispatch: an order is entered, picked by touch and by scan, shipped, undone; a return is decided on."""

import re
from typing import Any

from brewery.production.models import CustomerOrder, CustomerReturn, Pick, Shipment
from inventory.models import PartyContact
from tests.brewhouse import Brewhouse, rid
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
from tests.signing import signed_in
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Twenty kegs that keep 100 days and ten that keep 40 lie in the cold store."""
    kegs(brewhouse, "LATE", 20, keeps=100)
    kegs(brewhouse, "SOON", 10, keeps=40)
    return brewhouse


def sent(house: Brewhouse, address: str, role: str = "receiving", **fields: Any) -> Any:
    return signed_in(house, role).post(address, {"request_id": rid(), **fields})


def text_of(house: Brewhouse, address: str, role: str = "receiving") -> str:
    answer = signed_in(house, role).get(address)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def of_lines(count: int) -> dict[str, Any]:
    return {"lines-TOTAL_FORMS": count, "lines-INITIAL_FORMS": 0}


def lines_of_form(*lines: tuple[str, str]) -> dict[str, Any]:
    told = of_lines(len(lines))
    for place, (material, count) in enumerate(lines):
        told |= {f"lines-{place}-material": material, f"lines-{place}-count": count}
    return told


def test_an_order_is_entered_with_its_lines(house: Brewhouse):
    lines = {"lines-TOTAL_FORMS": 2, "lines-INITIAL_FORMS": 0, "lines-0-material": "KEG50", "lines-0-count": "8"}
    head = {"number": "O1", "customer": "INN", "wanted_on": in_days(2).isoformat()}
    answer = sent(house, "/dispatch/orders/new/", **head, **lines)
    order = CustomerOrder.objects.get()
    assert (answer.status_code, answer["Location"]) == (303, f"/dispatch/orders/{order.pk}/")
    assert "8 Quillmere Lager, 50 L keg" in text_of(house, "/dispatch/")
    half = sent(house, "/dispatch/orders/new/", **head, **{**lines, "lines-0-count": ""})
    assert "The line needs this" in half.content.decode()


def test_what_is_proposed_is_picked_by_one_touch(house: Brewhouse):
    order = ordered(house, 12)
    page = f"/dispatch/orders/{order.pk}/picking/"
    shown = text_of(house, page)
    assert "Pick 10" in shown
    assert "Pick 2" in shown
    answer = sent(house, f"{page}pick/", text="SOON", location="COLD", count="10")
    assert (answer.status_code, answer["Location"]) == (303, page)
    assert Pick.objects.get().count == 10
    put_back = sent(house, f"{page}put-back/", pick=Pick.objects.get().pk)
    assert (put_back.status_code, progress(order).picked) == (303, 0)


def test_a_pallet_is_picked_whole_by_a_scan_of_it(house: Brewhouse):
    unit = pallet_of(house, "SOON", 6)
    order = ordered(house, 12)
    sent(house, f"/dispatch/orders/{order.pk}/picking/pick/", text=f"00{unit.sscc}")
    made = Pick.objects.get()
    assert (made.lot.code, made.location.code, made.count) == ("SOON", unit.sscc, 6)


def test_a_lot_that_is_typed_is_picked_as_proposed_and_a_refusal_names_the_way_out(house: Brewhouse):
    order, other = ordered(house, 4), ordered(house, 10, "O2")
    sent(house, f"/dispatch/orders/{order.pk}/picking/pick/", text="SOON")
    assert Pick.objects.get().count == 4
    refused = sent(house, f"/dispatch/orders/{other.pk}/picking/pick/", text="SOON", location="COLD", count="10")
    assert refused.status_code == 400
    assert "Pick instead: 4 of lot LATE in Cold store." in refused.content.decode()


def test_what_is_left_out_stands_there_with_its_reason_and_what_is_short(house: Brewhouse):
    asks_for(house, 60)
    order = ordered(house, 25)
    shown = text_of(house, f"/dispatch/orders/{order.pk}/picking/")
    assert "SOON : it keeps 38 days, and 60 are asked for" in shown
    assert "5 missing: no more of it can be picked." in shown


def test_what_is_picked_is_shipped_with_its_papers_and_taken_back(house: Brewhouse):
    order = ordered(house, 4)
    picked(house, order, "SOON", 4)
    page = f"/dispatch/orders/{order.pk}/"
    assert "Ship what is picked" in text_of(house, page)
    answer = sent(house, f"{page}shipment/", note_number="DN-7", carrier="Ferry haulage", seal="S-1")
    assert answer.status_code == 303, answer.content
    shipment = Shipment.objects.get()
    assert (shipment.carrier, progress(order).state) == ("Ferry haulage", "shipped")
    assert "DN-7" in text_of(house, "/dispatch/")
    note = signed_in(house, "receiving").get(f"/dispatch/shipments/{shipment.event_id}/note/")
    assert (note["Content-Type"], note.content[:5]) == ("application/pdf", b"%PDF-")
    undone = sent(house, f"{page}undo/", event=shipment.event_id, reason="the wrong order")
    assert (undone.status_code, progress(order).state) == (303, "open")
    assert "(reversed)" in text_of(house, page)


def test_an_order_is_changed_as_it_was_seen_and_called_off(house: Brewhouse):
    order = ordered(house, 4)
    page = f"/dispatch/orders/{order.pk}/"
    seen = {"wanted_on": in_days(3).isoformat(), "note": "ring first", **lines_of_form(("KEG50", "9"), ("", ""))}
    assert sent(house, f"{page}change/", revision=1, **seen).status_code == 303
    assert [(one.line.material.code, one.line.count) for one in progress(order).lines] == [("KEG50", 9)]
    assert "you looked at revision 1" in sent(house, f"{page}change/", revision=1, **seen).content.decode()
    dropped = sent(house, f"{page}change/", revision=2, **seen | lines_of_form(("KEG50", "")))
    assert (dropped.status_code, len(progress(order).lines)) == (400, 1)
    assert sent(house, f"{page}call-off/", reason="rain").status_code == 303
    assert "rain" in text_of(house, page)


def test_a_return_is_taken_back_and_decided_on_by_those_who_may(house: Brewhouse):
    order = ordered(house, 6)
    picked(house, order, "SOON", 6)
    shipped(house, order)
    lot = {"lines-0-lot": "SOON", "lines-0-count": "3", "lines-0-location": "STORE", **of_lines(2)}
    asked = {"customer": "INN", "cause": "unsold", "reason": "rain", **lot}
    answer = sent(house, "/dispatch/returns/", **asked)
    back = CustomerReturn.objects.get()
    page = f"/dispatch/returns/{back.pk}/"
    assert (answer.status_code, answer["Location"]) == (303, page)
    assert "3 came back and wait for a decision." in text_of(house, "/dispatch/")
    line = {"line": f"{house.lot('SOON').pk}-{house.place('STORE').pk}", "count": "1", "reason": "sound"}
    assert sent(house, f"{page}restock/", to_location="COLD", **line).status_code == 303
    assert sent(house, f"{page}destruction/", "quality", beer="20", **line).status_code == 303
    tank = {"vessel": house.place("BT1").pk, "material": house.material("LAGER").pk, "contents_code": "RW1"}
    assert sent(house, f"{page}rework/", "brewing", beer="48 L", **tank, **line).status_code == 303
    shown = text_of(house, page)
    for words in ("back in stock", "destroyed", "tipped back into a tank", "20 L", "48 L"):
        assert words in shown
    assert "Put it back in stock" not in shown
    again = {"event": back.outcomes.first().event_id, "reason": "it was not sound"}
    assert sent(house, f"{page}undo/", **again).status_code == 303
    assert "Put it back in stock" in text_of(house, page)


def test_several_lots_come_back_in_one_return_and_older_ones_stand_on_the_next_page(house: Brewhouse, monkeypatch):
    monkeypatch.setattr("brewery.production.pages.dispatch.returns.ON_A_PAGE", 1)
    order = ordered(house, 12)
    picked(house, order, "SOON", 10)
    picked(house, order, "LATE", 2)
    shipped(house, order)
    came_back(house, "SOON", 2)
    asked = {"customer": "INN", "cause": "unsold", "reason": "rain", **of_lines(2)}
    for place, lot in enumerate(("SOON", "LATE")):
        asked |= {f"lines-{place}-lot": lot, f"lines-{place}-count": "1", f"lines-{place}-location": "STORE"}
    half = sent(house, "/dispatch/returns/", **asked | {"lines-1-count": ""})
    assert "The line needs this" in half.content.decode()
    assert sent(house, "/dispatch/returns/", **asked).status_code == 303
    assert {part.lot.code for part in CustomerReturn.objects.first().event.postings.all()} == {"SOON", "LATE"}
    first, second = (text_of(house, f"/dispatch/returns/?page={page}") for page in (1, 2))
    assert ("LATE" in first, "More" in first) == (True, True)
    assert ("LATE" in second, "Back" in second) == (False, True)


def test_a_shipment_shows_its_pallets_and_who_drove_it(house: Brewhouse):
    unit = pallet_of(house, "SOON", 6)
    order = ordered(house, 8)
    sent(house, f"/dispatch/orders/{order.pk}/picking/pick/", text=f"00{unit.sscc}")
    picked(house, order, "SOON", 2)
    sent(house, f"/dispatch/orders/{order.pk}/shipment/", note_number="DN-8", carrier="Ferry haulage", driver="T. Reed")
    shown = text_of(house, f"/dispatch/shipments/{Shipment.objects.get().event_id}/")
    for words in (unit.sscc, "loose", "Ferry haulage", "T. Reed", "DN-8", "O1", "Heron"):
        assert words in shown


def test_a_customer_shows_whom_to_ring_and_what_it_holds(house: Brewhouse):
    order = ordered(house, 6)
    picked(house, order, "SOON", 6)
    shipped(house, order)
    came_back(house, "SOON", 1)
    inn = house.party("INN").pk
    assert "nobody to ring" in text_of(house, "/customers/")
    told = {"name": "Ada Fenn", "phone": "+44 20 7946 0001", "is_reachable_at_night": "on"}
    assert sent(house, f"/customers/{inn}/contact/", "quality", **told).status_code == 303
    assert sent(house, f"/customers/{inn}/minimum-life/", "quality", days="30").status_code == 303
    shown = text_of(house, f"/customers/{inn}/")
    for words in ("Ada Fenn", "also at night", "30 days", "5 each", "1 of SOON", "O1"):
        assert words in shown
    ended = sent(
        house, f"/customers/{inn}/contact-end/", "quality", contact=PartyContact.objects.get().pk, reason="left"
    )
    assert ended.status_code == 303
    assert "Nobody to ring." in text_of(house, f"/customers/{inn}/")
