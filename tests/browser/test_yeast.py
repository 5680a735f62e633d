"""Yeast on a tablet: a tank is pitched by keyboard alone, and the rules of accessibility hold on the pages of yeast."""

import pytest
from playwright.sync_api import expect

from tests.brewhouse import START, micro
from tests.browser.test_accessibility import look_at
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import brew_by, reading, sheet_of, write

pytestmark = pytest.mark.browser


@pytest.fixture
def house(live_server, brewhouse):
    """1000 L of wort of 12 °P lie in FV1; Y1 has 1200 million cells in a mL, 97 % alive; FV2 ferments."""
    brewhouse.stock_up()
    sheet = sheet_of(brewhouse, pitch_cells=1_000_000, yeast=brewhouse.material("YEAST"))
    brew = brew_by(brewhouse, sheet, cold_wort_micro=micro("1000 L"))
    brewhouse.draw(brew, ("M1", "SILO1", "200 kg"), hours=3)
    write(brewhouse, brew, reading("knock_out", "gravity", "12"), hours=8)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=9)
    brewhouse.ferment(number=2, vessel="FV2", hours=10)
    counts = {"viability": "97", "cell_count": "1200"}
    Laboratory(brewhouse).enter("Y1", values=counts, number="V-1", issued_on=START.date())
    return brewhouse


def test_a_tank_is_pitched_by_keyboard_alone_on_a_tablet(house, sign_in, go):
    sign_in("brewing")
    page = go("/cellar/FV1/pitch/")
    proposed = page.get_by_label("How much of it").first
    assert proposed.input_value().endswith("kg")
    proposed.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("12 kg")
    page.get_by_label("Code of the beer").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("T1")
    page.get_by_label("When").focus()
    page.keyboard.type("030220260700PM")
    page.keyboard.press("Enter")
    expect(page.locator(".told")).to_contain_text("Lot Y1, generation 1, brings")
    page.get_by_role("button", name="Yes: Pitch it").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/cellar/FV1/")
    assert (house.held("Y1", "COLD"), house.lot("T1").generation) == (micro("28 kg"), 1)


def test_no_page_of_yeast_breaks_a_rule(page, house, sign_in, go):
    sign_in("brewing")
    culture = f"/yeast/lots/{house.lot('Y1').pk}/"
    addresses = ["/yeast/", culture, f"{culture}count/", "/cellar/FV1/pitch/", "/cellar/FV2/harvest/"]
    assert look_at(page, go, [*addresses, "/yeast/propagation/?mother=Y1"]) == {}
