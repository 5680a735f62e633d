"""What is to be ordered and when, drafts and contracts, and what people are told."""

import math
from datetime import date, timedelta

import pytest
from django.test import Client

from brewery.kernel.clock import brewery_day, now
from brewery.production.queries.reordering import Reorder, reorders
from brewery.production.services.reordering import draft_what_is_due
from inventory.models import Alert, OrderDraft, PurchaseOrder, SupplyContract
from inventory.queries.supply_contracts import calls_of
from inventory.services.alerts import look
from inventory.services.contract_calls import BeyondContract, OtherContract
from inventory.services.deliveries import ReceivedLot, receive_delivery
from inventory.services.order_drafts import DraftChanged, DraftIsOver, discard_order_draft, order_draft
from inventory.services.orders import OrderedLine, enter_order
from inventory.services.refusals import NothingToDo, WrongMaterial
from inventory.services.reorder_settings import set_reordering
from inventory.services.supply_contracts import close_contract, enter_contract
from tests.brewhouse import START, Brewhouse, at, micro, rid
from tests.production.brewday import sheet_of
from tests.production.test_plans import in_days, plan
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1,000 kg of Pilsner malt are here, ordered up to 2,000 kg in sacks of 25 kg, 10 days on the way."""
    brewhouse.deliver("PILS", "M1", "1000 kg")
    sheet_of(brewhouse)
    reorder(brewhouse)
    return brewhouse


def reorder(house: Brewhouse, material: str = "PILS", **facts: object) -> None:
    asked = {
        "supplier": house.party("MALTINGS"),
        "lead_days": 10,
        "policy": "up_to",
        "quantity_micro": micro("2000 kg"),
        "pack_micro": micro("25 kg"),
        **facts,
    }
    set_reordering(material=house.material(material), **asked, **house.by("receiving"))


def the_only(house: Brewhouse) -> Reorder:
    (found,) = reorders()
    return found


def use(house: Brewhouse, kg: int, days_ago: int) -> None:
    """So much malt was drawn for a brew so many days ago."""
    hours = (now() - timedelta(days=days_ago) - START).total_seconds() / 3600
    brew = house.start_brew(f"U{days_ago}", hours=hours)
    house.draw(brew, ("M1", "STORE", f"{kg} kg"), hours=hours)


def test_nothing_is_due_while_nothing_is_used_and_nothing_planned(house: Brewhouse):
    told = the_only(house)
    assert (told.here_micro, told.point_micro, told.proposed_micro, told.order_by) == (micro("1000 kg"), 0, 0, None)


def test_use_and_its_scatter_make_the_reorder_point(house: Brewhouse):
    """91 kg on each of two days of 182: 1 kg a day. By hand: s² = (2 · 91² - 182) / 181, L = 10 ± 2.5, R = 7."""
    use(house, 91, 20)
    use(house, 91, 40)
    told = the_only(house)
    assert told.usual.mean == pytest.approx(1)
    spread = ((2 * 91**2 - 182) / 181) ** 0.5
    assert told.usual.spread == pytest.approx(spread)
    safety = 1.64485 * (17 * spread**2 + 1 * 2.5**2) ** 0.5
    assert told.safety_micro == micro(f"{math.ceil(safety * 100) / 100} kg")
    # Today and 17 days on.
    assert told.point_micro == micro(f"{math.ceil((18 + safety) * 100) / 100} kg")
    assert told.here_micro == micro("818 kg")


def test_planned_brews_make_it_due_and_orders_take_it_away(house: Brewhouse):
    for number in range(6):
        plan(house, f"P{number}", days=3 + number)
    told = the_only(house)
    assert told.point_micro == micro("1200 kg")
    assert told.proposed_micro == micro("1000 kg")
    assert told.short_on == in_days(8)
    assert told.comes_on == in_days(10)
    assert told.order_by == brewery_day()
    line = OrderedLine(house.material("PILS"), micro("300 kg"), in_days(4))
    enter_order(
        number="PO-1", supplier=house.party("MALTINGS"), ordered_on=brewery_day(), lines=[line], **house.by("receiving")
    )
    told = the_only(house)
    assert (told.on_order_micro, told.proposed_micro, told.short_on) == (micro("300 kg"), 0, None)


def test_what_waits_for_quality_counts_and_what_is_on_hold_does_not(house: Brewhouse):
    house.deliver("PILS", "M2", "100 kg", note="2")
    hours = (now() - START).total_seconds() / 3600 - 1
    house.decide("M1", "on_hold", hours=hours)
    assert the_only(house).here_micro == micro("100 kg")
    house.decide("M1", "quarantined", hours=hours)
    assert the_only(house).here_micro == micro("1100 kg")


def deliver_ordered(house: Brewhouse, number: int, days: int) -> None:
    """Order 100 kg on day 10 times the number, and receive it so many days later."""
    ordered_on = START.date() + timedelta(days=10 * number)
    line = OrderedLine(house.material("PILS"), micro("100 kg"), ordered_on + timedelta(days=10))
    order = enter_order(
        number=f"L-{number}",
        supplier=house.party("MALTINGS"),
        ordered_on=ordered_on,
        lines=[line],
        **house.by("receiving"),
    )
    receive_delivery(
        supplier=house.party("MALTINGS"),
        note_number=f"L-{number}",
        lines=[
            ReceivedLot(
                house.material("PILS"),
                f"L{number}",
                micro("100 kg"),
                house.place("STORE"),
                order_line=order.lines.get(),
            )
        ],
        happened_at=at(24 * (10 * number + days)),
        **house.by("receiving"),
    )


def test_three_deliveries_tell_how_long_they_take_and_fewer_are_taken_as_promised(house: Brewhouse):
    deliver_ordered(house, 1, 8)
    deliver_ordered(house, 2, 10)
    assert (the_only(house).lead.days, the_only(house).lead.spread) == (10, 2.5)
    deliver_ordered(house, 3, 15)
    lead = the_only(house).lead
    assert (lead.days, lead.spread, lead.deliveries) == (11, pytest.approx(13**0.5), 3)


def test_what_is_due_is_drafted_ordered_and_told_until_then(house: Brewhouse):
    for number in range(6):
        plan(house, f"P{number}", days=3 + number)
    look("reorder")
    alert = Alert.objects.open().get(kind="reorder")
    assert "Order 1000 kg from Stowfield Maltings by" in alert.words
    request = rid()
    for _ in range(2):
        (draft,) = draft_what_is_due(
            materials=[house.material("PILS")], actor=house.people["receiving"], request_id=request
        )
    assert [(line.material.code, line.quantity_micro, line.due_on) for line in draft.lines.all()] == [
        ("PILS", micro("1000 kg"), in_days(10))
    ]
    assert the_only(house).drafted_micro == micro("1000 kg")
    with pytest.raises(DraftChanged):
        order_draft(draft=draft, revision=7, number="PO-1", ordered_on=brewery_day(), **house.by("receiving"))
    order = order_draft(
        draft=draft, revision=draft.revision, number="PO-1", ordered_on=brewery_day(), **house.by("receiving")
    )
    assert [line.quantity_micro for line in order.lines.all()] == [micro("1000 kg")]
    with pytest.raises(DraftIsOver):
        discard_order_draft(draft=draft, revision=2, **house.by("receiving"))
    look("reorder")
    alert.refresh_from_db()
    assert alert.closed_at
    with pytest.raises(NothingToDo):
        draft_what_is_due(materials=[house.material("PILS")], **house.by("receiving"))


def contract(house: Brewhouse, quantity: str = "1500 kg", **facts: object) -> SupplyContract:
    asked = {
        "number": "C-1",
        "supplier": house.party("MALTINGS"),
        "material": house.material("PILS"),
        "quantity_micro": micro(quantity),
        "begins_on": in_days(-30),
        "ends_on": in_days(30),
        **facts,
    }
    return enter_contract(**asked, **house.by("receiving"))


def order(house: Brewhouse, of: SupplyContract, quantity: str, number: str = "PO-1", **facts: object) -> PurchaseOrder:
    line = OrderedLine(house.material("PILS"), micro(quantity), in_days(20), contract=of)
    asked = {
        "number": number,
        "supplier": house.party("MALTINGS"),
        "ordered_on": brewery_day(),
        "lines": [line],
        **facts,
    }
    return enter_order(**asked, **house.by("receiving"))


def test_a_contract_is_called_off_by_orders_and_never_beyond_what_is_left(house: Brewhouse):
    told = contract(house)
    order(house, told, "1000 kg")
    (calls,) = calls_of([told])
    assert (calls.called_micro, calls.remaining_micro) == (micro("1000 kg"), micro("500 kg"))
    with pytest.raises(BeyondContract, match="Of contract C-1 500 kg is left; 501 kg was asked for"):
        order(house, told, "501 kg", "PO-2")
    assert PurchaseOrder.objects.count() == 1
    order(house, told, "500 kg", "PO-2")
    close_contract(contract=told, reason="all is called off", **house.by("receiving"))
    with pytest.raises(OtherContract, match="and closed"):
        order(house, told, "1 kg", "PO-3")


@pytest.mark.parametrize("facts", [{"ordered_on": date(2020, 1, 1)}, {"supplier": "HOPYARD"}])
def test_a_contract_is_for_its_supplier_and_its_days(house: Brewhouse, facts: dict[str, object]):
    told = contract(house)
    asked = {name: house.party(value) if name == "supplier" else value for name, value in facts.items()}
    with pytest.raises(OtherContract, match="Contract C-1 is for Pilsner malt from Stowfield Maltings"):
        order(house, told, "1 kg", **asked)


def test_what_is_drafted_is_called_off_of_the_contract_that_has_it(house: Brewhouse):
    contract(house, number="C-0", quantity="10 kg")
    contract(house)
    for number in range(6):
        plan(house, f"P{number}", days=3 + number)
    (draft,) = draft_what_is_due(materials=[house.material("PILS")], **house.by("receiving"))
    assert [line.contract.number for line in draft.lines.all() if line.contract] == ["C-1"]


def test_a_contract_that_ends_with_much_left_is_told(house: Brewhouse):
    told = contract(house)
    look("contract_ends")
    assert "1500 kg of Pilsner malt are not called off" in Alert.objects.get(kind="contract_ends").words
    order(house, told, "1400 kg")
    look("contract_ends")
    assert Alert.objects.get(kind="contract_ends").closed_at


def test_the_pages_tell_it_and_lead_to_an_order(client: Client, house: Brewhouse):
    for number in range(6):
        plan(house, f"P{number}", days=3 + number)
    contract(house)
    pils = house.material("PILS").pk
    client.force_login(house.people["receiving"])
    assert "1 000 kg" in client.get("/reordering/").content.decode().replace("\u202f", " ").replace("\xa0", " ")
    page = client.get(f"/reordering/{pils}/").content.decode()
    assert 'class="chart time-chart"' in page
    sent = client.post("/reordering/", {"request_id": rid(), "materials": [pils]})
    assert (sent.status_code, sent.url) == (303, "/order-drafts/")
    draft = OrderDraft.objects.get()
    line = draft.lines.get()
    address = f"/order-drafts/{draft.pk}/"
    told = {
        "request_id": rid(),
        "revision": 1,
        "change": "1",
        f"line-{line.pk}-quantity": "1,2 t",
        f"line-{line.pk}-due_on": in_days(12).isoformat(),
        f"line-{line.pk}-contract": "",
    }
    assert client.post(address, told).status_code == 303
    assert draft.lines.get().quantity_micro == micro("1200 kg")
    stale = client.post(address, {"request_id": rid(), "revision": 1, "number": "PO-9", "ordered_on": ""})
    assert (stale.status_code, b"has been changed since you looked" in stale.content) == (400, True)
    ordered = client.post(address, {"request_id": rid(), "revision": 2, "number": "PO-9", "ordered_on": ""})
    assert ordered.url == f"/orders/{PurchaseOrder.objects.get().pk}/"
    assert client.get("/contracts/").status_code == 200
    client.force_login(house.people["auditor"])
    for place in ("/reordering/", f"/reordering/{pils}/", "/order-drafts/", address, "/contracts/"):
        assert '<button type="submit"' not in client.get(place).content.decode().partition("<main")[2], place


def test_what_is_brewed_here_is_not_reordered(house: Brewhouse):
    with pytest.raises(WrongMaterial, match="Lager wort is a wort; this needs something that is bought"):
        reorder(house, "WORT", quantity_micro=micro("100 L"), pack_micro=None)


def test_how_a_material_is_reordered_is_said_on_its_page(client: Client, house: Brewhouse):
    saaz = house.material("SAAZ").pk
    client.force_login(house.people["receiving"])
    assert "It is not reordered." in client.get(f"/reordering/{saaz}/").content.decode()
    told = {
        "request_id": rid(),
        "supplier": "HOPYARD",
        "lead_days": 30,
        "review_days": 7,
        "service": "97.5",
        "policy": "fixed",
        "quantity": "20",
        "pack": "5",
        "least": "",
    }
    assert client.post(f"/reordering/{saaz}/setting/", {**told, "service": "100"}).status_code == 400
    assert client.post(f"/reordering/{saaz}/setting/", told).status_code == 303
    found = next(one for one in reorders() if one.material.pk == saaz)
    assert (found.setting.service_ppm, found.setting.quantity_micro) == (975_000, micro("20 kg"))
