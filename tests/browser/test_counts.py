"""A blind count by keyboard alone, as a clerk does with a scanner gun, and its booking by somebody else."""

import pytest
from playwright.sync_api import Page, expect

from tests.brewhouse import Brewhouse, micro

pytestmark = pytest.mark.browser

MOST_TABS = 60


@pytest.fixture
def store(live_server: object, brewhouse: Brewhouse) -> Brewhouse:
    """The store holds 20 kg of H1 and 10 kg of H2."""
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    brewhouse.deliver("CASCADE", "H2", "10 kg", note="2")
    return brewhouse


def typed(page: Page, text: str) -> None:
    """What a scanner gun or a person types, with Enter after it."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def tab_to(page: Page, name: str) -> None:
    """Go on with the tabulator until the button or field of that name has the focus."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate("(document.activeElement.innerText || document.activeElement.id || '').trim()") == name:
            return
    raise AssertionError(f"{name} is not reached by the tabulator")


def test_a_store_is_counted_blind_by_keyboard_and_booked_by_another_person(store, opened, watch, sign_in, go):
    page = opened("receiving", "/counts/")
    tab_to(page, "id_place")
    typed(page, "store")
    expect(page.get_by_role("heading", level=1)).to_have_text("Count of Dry store")
    expect(page.get_by_role("heading", name="2 of 2 still to count")).to_be_visible()
    expect(page.get_by_text("20 kg")).to_have_count(0)

    expect(page.get_by_label("Lot: scan or type its code")).to_be_focused()
    typed(page, "H1")
    expect(page.get_by_label("How much of Saaz is there")).to_be_focused()
    typed(page, "19 kg")
    expect(page.get_by_role("heading", name="1 of 2 still to count")).to_be_visible()
    expect(page.get_by_label("Lot: scan or type its code")).to_be_focused()
    typed(page, "h2")
    expect(page.get_by_label("How much of Cascade is there")).to_be_focused()
    typed(page, "10000 g")
    expect(page.get_by_role("heading", name="All 2 counted")).to_be_visible()
    row = page.get_by_role("row").filter(has_text="H2")
    expect(row).to_contain_text("10\u00a0kg")
    expect(row).to_contain_text("receiving")

    tab_to(page, "Hand it in")
    page.keyboard.press("Enter")
    expect(page.get_by_role("row").filter(has_text="H1")).to_contain_text("above the threshold")

    watch.expect(400)
    tab_to(page, "booking-reason")
    typed(page, "a torn bag")
    expect(page.get_by_role("alert")).to_contain_text("approve_counts")

    address = page.url.partition("/counts/")[2].partition("/")[0]
    sign_in("accounting")
    page = go(f"/counts/{address}/")
    tab_to(page, "booking-reason")
    typed(page, "a torn bag")
    expect(page.get_by_text("Booked", exact=True)).to_be_visible()
    assert store.held("H1", "STORE") == micro("19 kg")


def test_a_lot_that_is_not_on_record_is_told_and_noted(store, opened, watch):
    page = opened("receiving", "/counts/")
    tab_to(page, "id_place")
    typed(page, "store")
    expect(page.get_by_role("heading", level=1)).to_have_text("Count of Dry store")
    watch.expect(400)
    typed(page, "XX-9")
    expect(page.get_by_text("There is no lot “XX-9” on record.")).to_be_visible()
    expect(page.get_by_label("Lot: scan or type its code")).to_be_focused()
    tab_to(page, "Something lies there that has no lot")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.type("XX-9")
    page.keyboard.press("Tab")
    typed(page, "an open box of pellets, some 3 kg")
    expect(page.get_by_role("region", name="Without a lot")).to_contain_text("an open box of pellets, some 3 kg")
