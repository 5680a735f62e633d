"""A brew day in a real browser: drawn and logged on a tablet, through a dropped connection, refused in words."""

import pytest
from playwright.sync_api import expect

from brewery.production.models import LogEntry
from inventory.models import Event
from tests.brewhouse import START, micro
from tests.browser.test_accessibility import look_at
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import brew_by, reading, sheet_of, write

pytestmark = pytest.mark.browser

LARGE_ENOUGH = 44
"""Of a target, in CSS pixels: WCAG 2.2, success criterion 2.5.5."""


@pytest.fixture
def house(live_server, brewhouse):
    """B1 wants 200 kg of Pilsner malt and 100 g alpha of Saaz; M1 and H1 are here, and the mash was too warm."""
    brewhouse.deliver("PILS", "M1", "300 kg")
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    brew = brew_by(brewhouse, sheet_of(brewhouse))
    write(brewhouse, brew, reading("mash", "temperature", "66"))
    return brewhouse


@pytest.fixture
def brew_day(house, sign_in, go):
    """The brewer looks at the page of B1."""
    sign_in("brewing")
    return go("/brewing/brews/B1/")


def draw_malt(page, quantity):
    page.locator("#draw-grain-1-1-quantity").fill(quantity)
    page.locator("#draw-grain-1-1-quantity").press("Enter")


def test_a_proposed_lot_is_drawn_by_its_weight_and_undone_by_one_button(house, brew_day):
    draw_malt(brew_day, "120,5")
    expect(brew_day.get_by_text("79.5\N{NO-BREAK SPACE}kg left")).to_be_visible()
    assert house.held("M1", "B1") == micro("120.5 kg")
    brew_day.get_by_role("button", name="Undo").click()
    expect(brew_day.get_by_text("200\N{NO-BREAK SPACE}kg left")).to_be_visible()
    assert house.held("M1", "B1") == 0


def test_what_is_noted_while_the_connection_is_gone_is_kept_and_sent_in_order(house, brew_day):
    brew_day.context.set_offline(True)
    draw_malt(brew_day, "50")
    brew_day.locator("#log-property").select_option("temperature")
    brew_day.locator("#log-value").fill("63.2")
    brew_day.locator("#log-value").press("Enter")
    expect(brew_day.locator("#waiting")).to_contain_text("2 entries wait")
    assert Event.objects.filter(kind="draw").count() == 0
    brew_day.context.set_offline(False)
    expect(brew_day.locator("#waiting")).to_be_hidden()
    expect(brew_day.get_by_text("Temperature 63.2 °C")).to_be_visible()
    assert house.held("M1", "B1") == micro("50 kg")
    assert LogEntry.objects.count() == 2


def test_a_refusal_is_told_and_stays_until_it_is_seen(house, brew_day, watch):
    watch.expect(400)
    draw_malt(brew_day, "230")
    refusal = brew_day.locator("#refused li")
    expect(refusal).to_contain_text("with this 230 kg would be drawn, 15 % more")
    brew_day.reload()
    expect(refusal).to_contain_text("Draw less, or say why.")
    refusal.get_by_role("button", name="Seen").click()
    expect(refusal).to_have_count(0)
    assert house.held("M1", "B1") == 0


@pytest.mark.parametrize("width", [1024, 768])
def test_every_button_is_large_enough_for_a_wet_thumb(brew_day, width):
    brew_day.set_viewport_size({"width": width, "height": 900})
    boxes = [button.bounding_box() for button in brew_day.locator("#brew-day button:visible").all()]
    assert min(box["height"] for box in boxes if box) >= LARGE_ENOUGH
    assert brew_day.evaluate("document.documentElement.scrollWidth") <= width
    quantity = brew_day.locator("#draw-grain-1-1-quantity")
    assert quantity.get_attribute("inputmode") == "decimal"


def test_the_pages_of_brewing_keep_the_rules_of_accessibility(house, page, sign_in, go):
    sign_in("brewing")
    beer = house.material("LAGER").pk
    addresses = ["/brewing/", "/brewing/brews/", "/brewing/brews/B1/", f"/brewing/consistency/?beer={beer}"]
    assert look_at(page, go, addresses) == {}
