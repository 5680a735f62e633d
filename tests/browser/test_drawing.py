"""Drawn traces: legible however large, and followed with the keyboard alone."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.reading import lots_in_drawing, lots_in_table

pytestmark = pytest.mark.browser

LEAST_TYPE = 12
"""Pixels; what the drawing's own rules call small. No source."""

BOXES = """section => [...section.querySelectorAll('.trace-box')].filter(box => box.closest('.trace-node'))
  .map(box => box.getBoundingClientRect()).map(({left, right, top, bottom}) => [left, right, top, bottom])"""

OVERFLOWING = """section => [...section.querySelectorAll('.trace-node')].flatMap(node => {
  const room = node.querySelector('.trace-box').getBoundingClientRect();
  return [...node.querySelectorAll('.trace-code, .trace-title, .trace-detail')]
    .filter(text => text.getBoundingClientRect().right > room.right + 0.5).map(text => text.textContent);
})"""

SMALLEST_TYPE = """section => Math.min(...[...section.querySelectorAll('svg.trace text')].map(text => {
  const drawing = text.ownerSVGElement;
  const scale = drawing.getBoundingClientRect().width / drawing.viewBox.baseVal.width;
  return parseFloat(getComputedStyle(text).fontSize) * scale;
}))"""


def overlapping(boxes):
    return [
        (one, other)
        for at, one in enumerate(boxes)
        for other in boxes[at + 1 :]
        if one[0] < other[1] and other[0] < one[1] and one[2] < other[3] and other[2] < one[3]
    ]


def test_sixty_lots_are_drawn_apart_and_can_be_read(full_house, opened):
    page = opened("quality", f"/lots/{full_house.lot('T1').pk}/")
    back = page.locator("section:has(#trace-back)")
    boxes = back.evaluate(BOXES)
    assert lots_in_drawing(page, "back") == lots_in_table(page, "back")
    assert len(boxes) > 60
    assert overlapping(boxes) == []
    assert back.evaluate(OVERFLOWING) == []
    assert back.evaluate(SMALLEST_TYPE) >= LEAST_TYPE
    whole = back.get_by_role("button", name="Show the whole")
    frame = back.get_by_role("region", name="Where it came from, drawn")
    assert frame.evaluate("box => box.scrollWidth > box.clientWidth")
    whole.click()
    expect(whole).to_have_attribute("aria-pressed", "true")
    assert frame.evaluate("box => box.scrollWidth <= box.clientWidth")
    assert overlapping(back.evaluate(BOXES)) == []
    whole.click()
    expect(whole).to_have_attribute("aria-pressed", "false")
    assert back.evaluate(SMALLEST_TYPE) >= LEAST_TYPE


def test_the_keyboard_follows_a_drawing_from_lot_to_lot(house, opened):
    page = opened("quality", f"/lots/{house.lot('KEG1').pk}/")
    drawing = page.get_by_role("region", name="Where it came from, drawn")
    drawing.focus()
    page.keyboard.press("Tab")
    focused = page.locator(".trace-node:focus")
    expect(focused).to_have_count(1)
    expect(drawing.locator("svg")).to_have_class(re.compile("is-following"))
    assert drawing.locator(".is-followed.trace-node").count() > 1
    code = focused.locator(".trace-code").text_content()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Lot {code}")
