"""The same pages by keyboard alone, on a telephone, and on paper."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

REACHABLE = """() => {
  const wanted = 'a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex="0"]';
  window.reachable = [...document.querySelectorAll(wanted)].filter(one => one.checkVisibility());
  return window.reachable.length;
}"""
REACHED = "window.reachable.indexOf(document.activeElement)"
PAPER = {"width": 680, "height": 1009}
"""A4 within margins of 15 mm, in CSS pixels of 1/96 inch (ISO 216: 210 mm by 297 mm)."""
STOPS_IN_A_DATE = 10
"""A field for date and time is left after as many presses at most; it has a stop a part."""


def reached_in_turn(page, most):
    """What Tab reaches from the top of the page, each once, until it leaves the page or comes round."""
    found = []
    for _ in range(most):
        page.keyboard.press("Tab")
        at = page.evaluate(REACHED)
        if found and at in (-1, 0):
            break
        if not found or found[-1] != at:
            found.append(at)
    return found


def test_the_keyboard_alone_reaches_everything_in_the_order_of_the_page(house, sign_in, go):
    sign_in("brewing")
    for address in ("/", "/lots/", f"/lots/{house.lot('KEG1').pk}/"):
        page = go(address)
        count = page.evaluate(REACHABLE)
        assert reached_in_turn(page, count + STOPS_IN_A_DATE) == list(range(count)), address
    go("/")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_no_page_is_wider_than_a_telephone(house, page, sign_in, go):
    sign_in("receiving")
    page.set_viewport_size({"width": 360, "height": 740})
    for address in ("/sign-in/", "/", "/lots/", f"/lots/{house.lot('KEG1').pk}/", f"/lots/{house.lot('M1').pk}/"):
        go(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, address
    main = page.get_by_role("navigation", name="Main")
    expect(main).to_be_hidden()
    page.get_by_role("button", name="Menu").click()
    main.get_by_role("link", name="Lots").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Lots")


def test_paper_holds_the_record_and_no_buttons(house, page, sign_in, go):
    sign_in("quality")
    page.emulate_media(media="print")
    page.set_viewport_size(PAPER)
    for address in ("/", f"/lots/{house.lot('KEG1').pk}/"):
        go(address)
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        expect(page.locator("table").first).to_be_visible()
        wide = page.locator(".scroll").evaluate_all(
            "all => all.filter(box => box.scrollWidth > box.clientWidth).length"
        )
        assert wide == 0, address
        for gone in (".band", "nav", "button", "form", ".skip"):
            assert not [one for one in page.locator(gone).all() if one.is_visible()], (address, gone)
    drawing = page.locator("svg.trace")
    expect(drawing).to_be_visible()
    assert drawing.evaluate("svg => svg.closest('.scroll').clientHeight >= svg.getBoundingClientRect().height")
