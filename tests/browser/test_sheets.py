"""A brew sheet in the browser: written by keyboard alone, and kept whatever is wrong with it at first."""

import pytest
from playwright.sync_api import Page, expect

from brewery.production.models import BrewSheet
from tests.brewhouse import Brewhouse, micro
from tests.browser.test_accessibility import broken_rules
from tests.browser.test_quality import tab_to
from tests.browser.watch import Watch
from tests.inventory.laboratory import Laboratory
from tests.production.sheets import content_of_fresh, in_use

pytestmark = pytest.mark.browser


@pytest.fixture
def house(live_server, brewhouse: Brewhouse) -> Brewhouse:
    """The stores are full, and the Saaz has its certificate."""
    brewhouse.stock_up()
    Laboratory(brewhouse).enter("H1", number="C3", values={"alpha": "3.4"})
    return brewhouse


def fill(page: Page, *fields: tuple[str, str]) -> None:
    """Tab to each field in turn and type into it."""
    for name, text in fields:
        tab_to(page, name)
        page.keyboard.type(text)


def test_a_sheet_is_written_by_keyboard_alone(house: Brewhouse, opened, watch: Watch):
    watch.expect(400)
    page = opened("brewing", "/brewing/sheets/new/?beer=LAGER")
    assert broken_rules(page) == []
    fill(
        page,
        ("Cold wort, hL", "30"),
        ("Original gravity, °P", "12"),
        ("Final gravity, °P", "2.5"),
        ("Yield of the brewhouse, % of the grain", "75"),
        ("Boil, minutes", "70"),
        ("Malt", "PILS"),
        ("Share, %", "95"),
        ("Hop", "SAAZ"),
        ("When", "boil"),
        ("Minutes", "60"),
        ("How much", "250 g"),
        ("That is", "weight of alpha"),
    )
    page.keyboard.press("Tab")
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_text("The shares add up to 100 % exactly.")).to_be_visible()
    assert page.get_by_label("How much", exact=True).first.input_value() == "250 g"
    tab_to(page, "Share, %")
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type("100")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Quillmere Lager, version 1")).to_be_visible()
    expect(page.get_by_text("7.353 kg of lot H1 (3.4 % by certificate C3").first).to_be_visible()
    said = content_of_fresh(BrewSheet.objects.get())
    assert [(grain.material.code, grain.share_ppm) for grain in said.grains] == [("PILS", 1_000_000)]
    assert [(hop.alpha_micro, hop.minutes) for hop in said.hops] == [(micro("250 g"), 60)]


def test_targets_are_large_enough_for_wet_hands(house: Brewhouse, opened):
    page = opened("brewing", "/brewing/sheets/new/")
    controls = page.locator(".sheet-form").locator("input[type=text], select, button").all()
    assert min((box["height"] for control in controls if (box := control.bounding_box())), default=0) >= 44


def test_a_sheet_its_print_and_its_comparison_break_no_rule_of_accessibility(house: Brewhouse, opened):
    first, second = in_use(house), in_use(house, original_gravity_milli_p=12_500)
    for address in ("", f"{first.pk}/", f"{first.pk}/comparison/?other={second.pk}"):
        page = opened("brewing", f"/brewing/sheets/{address}")
        assert broken_rules(page) == [], address
