"""The scanner page, pallets and labels, in a real browser, without a mouse."""

import pytest
from playwright.sync_api import expect

from inventory.models import UnitMove
from inventory.services.company import own_gln
from inventory.services.pallets import load_pallet, make_pallet
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import at
from tests.browser.dock import GTIN, Hands

pytestmark = pytest.mark.browser

GS = "\x1d"


@pytest.fixture
def unit(house):
    """A pallet with hops stands in the dry store."""
    made = make_pallet(stands_in=house.place("STORE"), made_at=at(400), **house.by("receiving"))
    parts = house.parts([("H1", "STORE", "5 kg")])
    load_pallet(unit=made, parts=parts, happened_at=at(401), **house.by("receiving"))
    return made


def place_label(code):
    """What a scanner types for one of our own location labels."""
    return f"]C1414{own_gln()}254{code}"


def test_two_scans_move_a_pallet_and_no_key_is_pressed(house, unit, opened):
    page = opened("receiving", "/scan/")
    hands = Hands(page)
    hands.scan(f"]C100{unit.sscc}")
    expect(page.get_by_role("heading", name="Pallet …000013")).to_be_visible()
    expect(page.get_by_label("Move it to")).to_be_focused()
    hands.scan(place_label("COLD"))
    expect(page.get_by_text("It stands in Cold store now.")).to_be_visible()
    assert hands.inputs == 0
    move = UnitMove.objects.get()
    assert (move.unit, move.to_location.code) == (unit, "COLD")


def test_a_wrong_place_is_refused_and_the_right_one_is_scanned_next(house, unit, opened, watch):
    watch.expect(400)
    page = opened("receiving", "/scan/")
    hands = Hands(page)
    hands.scan(f"]C100{unit.sscc}")
    expect(page.get_by_label("Move it to")).to_be_focused()
    hands.scan(place_label("FV1"))
    expect(page.get_by_text("There is no store “FV1”")).to_be_visible()
    hands.tab_to("#move_form_to_location")
    hands.scan(place_label("COLD"))
    expect(page.get_by_text("It stands in Cold store now.")).to_be_visible()


def test_another_pallet_scanned_instead_of_a_place_is_shown_and_nothing_moves(house, unit, opened):
    other = make_pallet(stands_in=house.place("STORE"), made_at=at(400), **house.by("receiving"))
    page = opened("receiving", "/scan/")
    hands = Hands(page)
    hands.scan(f"]C100{unit.sscc}")
    expect(page.get_by_role("heading", name="Pallet …000013")).to_be_visible()
    hands.scan(f"]C100{other.sscc}")
    expect(page.get_by_role("heading", name="Pallet …000020")).to_be_visible()
    assert not UnitMove.objects.exists()


def test_a_separator_reaches_the_field_as_scanners_send_it(house, opened):
    """A scanner that plays a keyboard sends the group separator as Ctrl and a closing bracket."""
    add_trade_item(gtin=GTIN, material=house.material("SAAZ"), **house.by("administration"))
    page = opened("receiving", "/scan/")
    page.keyboard.type(f"]C101{GTIN}10SZ-25")
    page.keyboard.press("Control+]")
    page.keyboard.type("3102002550")
    page.keyboard.press("Enter")
    facts = page.locator("dl.facts")
    expect(facts).to_contain_text("SZ-25")
    expect(facts).to_contain_text("25.5 kg")
    expect(facts).not_to_contain_text("3102")


def test_what_is_scanned_while_something_else_has_the_focus_is_not_lost(house, opened):
    page = opened("quality", "/scan/")
    hands = Hands(page)
    hands.scan("H1")
    expect(page.get_by_role("heading", name="Lot H1")).to_be_visible()
    hands.tab_to("a.action")
    hands.scan(place_label("FV1"))
    expect(page.get_by_role("heading", name="Fermenter 1")).to_be_visible()
    hands.tab_to("a.action")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="What lies here")).to_be_visible()


def test_a_label_is_printed_from_the_lots_page_by_keyboard(house, opened):
    page = opened("receiving", f"/lots/{house.lot('H1').pk}/")
    hands = Hands(page)
    hands.tab_to("a.action[href$='/label/']")
    page.keyboard.press("Enter")
    copies = page.get_by_label("Copies")
    expect(copies).to_be_focused()
    expect(page.get_by_role("img", name="H1, Saaz")).to_be_visible()
    assert page.get_by_role("img", name="H1, Saaz").evaluate("picture => picture.naturalWidth") > 300
    page.keyboard.press("ArrowUp")
    expect(copies).to_have_value("2")
    with page.expect_request(lambda request: "print=1" in request.url) as asked:
        page.keyboard.press("Enter")
    assert "size=100x70&copies=2&print=1" in asked.value.url
