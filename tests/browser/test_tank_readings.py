"""Readings of a tank in a real browser: written without a mouse on a tablet, and read by everybody."""

import pytest
from playwright.sync_api import expect

from brewery.production.models import TankReading
from tests.browser.test_accessibility import look_at
from tests.production.cellar import FALLING, fermenting, gravities, measured, read

pytestmark = pytest.mark.browser

PAGE = "/cellar/FV1/readings/"


@pytest.fixture
def house(live_server, brewhouse):
    """T1 ferments in FV1; six gravities are read of it, and one temperature beyond the sheet's."""
    fermenting(brewhouse)
    gravities(brewhouse, FALLING)
    read(brewhouse, measured(brewhouse, "temperature", "14", 60))
    return brewhouse


def test_a_reading_is_written_without_a_mouse_and_survives_a_lost_connection(house, page, sign_in, go):
    page.set_viewport_size({"width": 1024, "height": 768})
    sign_in("brewing")
    go(PAGE)
    first = page.get_by_label("Gravity, °P")
    first.focus()
    page.keyboard.type("2,6")
    page.keyboard.press("Tab")
    page.keyboard.type("9.1")
    page.context.set_offline(True)
    page.keyboard.press("Enter")
    expect(page.locator("#waiting")).to_contain_text("1 entry waits")
    expect(first).to_have_value("")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()
    expect(page.get_by_role("region", name="All readings").get_by_text("Gravity 2.6 °P")).to_be_visible()
    assert TankReading.objects.filter(value_micro__in=(2_600_000, 9_100_000)).count() == 2


def test_no_page_with_a_drawing_breaks_a_rule_or_runs_off_a_telephone(house, page, sign_in, go):
    sign_in("brewing")
    reading = TankReading.objects.first()
    addresses = [PAGE, "/cellar/FV1/", f"/cellar/FV1/reading-correction/?reading={reading.pk}"]
    assert look_at(page, go, addresses) == {}
    page.set_viewport_size({"width": 390, "height": 844})
    for address in addresses:
        go(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
