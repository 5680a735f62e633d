"""The trace page in a browser: three inputs by the keyboard alone, and the rules of accessibility."""

import pytest
from playwright.sync_api import expect

from tests.brewhouse import at
from tests.browser.test_accessibility import look_at

pytestmark = pytest.mark.browser


def test_a_trace_takes_three_inputs_and_a_lot_in_the_drawing_is_reached_by_the_keyboard(house, opened):
    page = opened("quality", "/trace/")
    expect(page.get_by_label("Lot, tank,")).to_be_focused()
    page.keyboard.type("KEG1")
    page.keyboard.press("Enter")
    drawing = page.get_by_role("region", name="The trace, drawn")
    keg = drawing.get_by_role("link", name="KEG1, ")
    keg.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Lot KEG1")
    page.get_by_role("link", name="Every record of it").press("Enter")
    expect(page.get_by_role("region", name="Every record")).to_contain_text("The Heron Inn")


def test_no_page_of_the_trace_breaks_a_rule(page, house, sign_in, go):
    sign_in("quality")
    event = house.lot("KEG1").made_by_id
    then = at(90).strftime("%Y-%m-%d")
    addresses = [
        "/trace/",
        "/trace/?q=KEG1&sort=-share",
        "/trace/?q=quillmere",
        f"/trace/?q=FV1 {then}",
        "/trace/?q=zz",
        "/trace/?q=KEG1&kind=hop",
        "/lots/KEG1/postings/",
        "/lots/KEG1/postings/?place=COLD",
        "/lots/M1/balance/",
        "/quality/common-cause/?bad=KEG1 T1&good=K1",
        "/quality/common-cause/?bad=KEG1",
        "/holds/new/?lots=M1",
    ]
    addresses += ["/lots/KEG1/audit/", f"/events/{event}/"]
    assert look_at(page, go, addresses) == {}
