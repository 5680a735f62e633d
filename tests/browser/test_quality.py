"""The desk of quality in the browser: many lots released by keyboard alone."""

import pytest
from playwright.sync_api import Page, expect

from tests.brewhouse import Brewhouse
from tests.browser.test_accessibility import broken_rules
from tests.inventory.laboratory import GOOD, Laboratory

pytestmark = pytest.mark.browser


@pytest.fixture
def lab(live_server, brewhouse: Brewhouse) -> Laboratory:
    """Five lots of Munich malt wait; the certificate of M2 is out of limits, M5 is on hold."""
    for number in range(1, 6):
        brewhouse.deliver("MUNICH", f"M{number}", "500 kg", note=str(number), hours=number)
    lab = Laboratory(brewhouse)
    lab.ask_for_malt()
    lab.enter("M2", number="A-7", values={**GOOD, "moisture": "5.2"})
    brewhouse.decide("M5", "on_hold", hours=7, reason="weevils in one sack")
    return lab


def focused(page: Page) -> str:
    """The name of what has the focus."""
    return str(page.evaluate("document.activeElement.labels?.[0]?.innerText ?? document.activeElement.innerText"))


def tab_to(page: Page, name: str) -> None:
    """Press the tab key until what is named has the focus."""
    for _ in range(60):
        if focused(page).strip() == name:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"the tab key does not come to {name!r}")


def test_many_lots_are_released_by_keyboard_alone(lab, opened):
    page = opened("quality", "/quality/")
    expect(page.get_by_role("status").filter(has_text="No lot is ticked.")).to_be_visible()
    tab_to(page, "Tick all lots")
    page.keyboard.press("ArrowDown")
    assert focused(page).strip() == "Lot M1"
    page.keyboard.press("Space")
    for _ in range(2):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="Ticked: 3 of 5.")).to_be_visible()
    tab_to(page, "Release")
    page.keyboard.press("Space")
    tab_to(page, "Reason")
    page.keyboard.type("tasted and dry")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Now released: M1, M3, M4.")).to_be_visible()
    assert [lab.house.lot(f"M{number}").disposition for number in range(1, 6)] == [
        "released",
        "quarantined",
        "released",
        "released",
        "on_hold",
    ]
    assert {decision.reason for decision in lab.house.lot("M3").decisions.all()} == {"tasted and dry"}


def test_the_tick_in_the_head_ticks_all_and_none(lab, opened):
    page = opened("quality", "/quality/")
    ticks = page.locator("tbody input[type=checkbox]")
    page.get_by_label("Tick all lots").check()
    expect(page.locator("tbody input[type=checkbox]:checked")).to_have_count(ticks.count())
    page.get_by_label("Lot M3").uncheck()
    expect(page.get_by_text("Ticked: 4 of 5.")).to_be_visible()
    page.get_by_label("Tick all lots").check()
    page.get_by_label("Tick all lots").uncheck()
    expect(page.get_by_text("No lot is ticked.")).to_be_visible()


def test_what_somebody_else_decided_is_told_in_the_row_and_the_rest_stays_ticked(lab, opened, watch):
    watch.expect(400)
    page = opened("quality", "/quality/")
    page.get_by_label("Lot M1").check()
    page.get_by_label("Lot M3").check()
    lab.house.decide("M3", "rejected", hours=8, reason="mould")
    page.get_by_label("Release").check()
    page.get_by_label("Reason").fill("tasted")
    page.get_by_role("button", name="Decide").click()
    row = page.get_by_role("row").filter(has_text="M3")
    expect(row).to_contain_text("Lot M3 was quarantined when you looked and is rejected now.")
    expect(page.get_by_label("Lot M1")).to_be_checked()
    expect(page.get_by_label("Reason")).to_have_value("tasted")
    assert broken_rules(page) == []


def test_the_desk_breaks_no_rule(lab, opened):
    assert broken_rules(opened("quality", "/quality/")) == []


def test_a_certificate_is_entered_by_scanner_and_keyboard_alone(lab, opened):
    page = opened("receiving", "/certificates/new/")
    page.keyboard.type("M1")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Asked: at most 5 %.")).to_be_visible()
    tab_to(page, "Moisture, %")
    page.keyboard.type("4,5")
    tab_to(page, "Extract, fine grind, dry basis, %")
    page.keyboard.type("81.5")
    tab_to(page, "Ochratoxin A, µg/kg")
    page.keyboard.type("< 0.1")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Lot M1 is released.")).to_be_visible()
    assert lab.house.lot("M1").disposition == "released"


def test_the_pages_of_certificates_and_materials_break_no_rule(lab, opened, go):
    certificate = lab.enter("M1", number="A-9", values={"moisture": "5.2"})
    opened("quality", "/certificates/")
    for address in (
        "/certificates/",
        f"/certificates/{certificate.pk}/",
        "/certificates/new/",
        "/certificates/new/?lot=M1",
        "/certificates/files/",
        "/materials/",
        "/materials/MUNICH/",
        "/materials/MUNICH/limits/",
        f"/lots/{certificate.lot_id}/",
    ):
        assert broken_rules(go(address)) == [], address
