"""From an order to its shipment on a tablet, by keyboard alone, and the rules of accessibility on those pages."""

import pytest
from playwright.sync_api import Page, expect

from brewery.production.models import CustomerOrder, Shipment
from tests.browser.test_accessibility import look_at
from tests.production.dispatching import came_back, in_days, kegs, ordered, picked, shipped

pytestmark = pytest.mark.browser


@pytest.fixture
def kegs_in_store(live_server, brewhouse, sign_in):
    """Twenty kegs lie in the cold store."""
    kegs(brewhouse, "LATE", 20, keeps=100)
    sign_in("receiving")
    return brewhouse


def typed(page: Page, label: str, words: str) -> None:
    page.get_by_label(label, exact=True).first.focus()
    page.keyboard.type(words)


def pressed(page: Page, button: str) -> None:
    page.get_by_role("button", name=button).first.focus()
    page.keyboard.press("Enter")


def test_an_order_is_entered_picked_and_shipped_by_keyboard_alone_on_a_tablet(kegs_in_store, go):
    page = go("/dispatch/orders/new/")
    for label, words in {"Order number": "O1", "Customer": "INN", "Product": "KEG50", "How many": "8"}.items():
        typed(page, label, words)
    page.get_by_label("Wanted on").fill(in_days(2).isoformat())
    pressed(page, "Enter the order")
    page.get_by_role("link", name="Pick it").focus()
    page.keyboard.press("Enter")
    pressed(page, "Pick 8")
    expect(page.locator("main")).to_contain_text("LATE")
    order = CustomerOrder.objects.get()
    go(f"/dispatch/orders/{order.pk}/")
    typed(page, "Carrier (optional)", "Ferry haulage")
    pressed(page, "Ship what is picked")
    expect(page.locator("main")).to_contain_text("shipped")
    assert Shipment.objects.get().carrier == "Ferry haulage"


def test_no_page_of_dispatch_breaks_a_rule(kegs_in_store, page, go):
    order = ordered(kegs_in_store, 8)
    picked(kegs_in_store, order, "LATE", 5)
    event = shipped(kegs_in_store, order)
    back = came_back(kegs_in_store, "LATE", 2)
    pages = [f"orders/{order.pk}/", f"orders/{order.pk}/picking/", "orders/new/", "returns/", f"returns/{back.pk}/"]
    shown = ["/dispatch/", *(f"/dispatch/{one}" for one in pages), f"/dispatch/shipments/{event.pk}/"]
    assert look_at(page, go, shown) == {}
