"""One lot's page: what it says, and that drawing, text and table say the same."""

import re

import pytest
from playwright.sync_api import expect

from tests.brewhouse import at
from tests.browser.reading import lots_in_drawing, lots_in_table, lots_in_text

pytestmark = pytest.mark.browser

INTO_THE_KEG = {"M1", "M2", "MX1", "H1", "H2", "S1", "Y1", "A1", "K1", "W1", "W2", "T1", "T2", "KR1", "D1", "BB1"}
OF_THE_MALT = {"MX1", "W1", "W2", "T1", "T2", "KR1", "D1", "Y2", "BB1", "KEG1"}


def test_a_keg_is_told_from_the_sacks_it_came_from_to_the_inn_it_went_to(house, opened):
    page = opened("quality", f"/lots/{house.lot('KEG1').pk}/")
    facts = page.locator("dl.facts").first
    expect(facts).to_contain_text("Quillmere Lager, 50 L keg")
    expect(facts).to_contain_text("15 Mar 2026, 09:00")  # 312 h after 2 March, 08:00 UTC, by the clock of Berlin
    where = page.get_by_role("region", name="Where it is")
    expect(where.locator("tbody tr")).to_have_text(["Cold store store 7 each", "The Heron Inn customer 3 each"])
    ledger = page.get_by_role("region", name="What happened to it").locator("tbody tr")
    expect(ledger).to_contain_text(["packaging R1", "shipment S1", "return from a customer"])
    expect(ledger.last).to_contain_text("leaks")
    assert lots_in_table(page, "back") == lots_in_drawing(page, "back") == INTO_THE_KEG
    told = lots_in_text(page, "back")
    assert [code for code in INTO_THE_KEG if not re.search(rf"\b{code}\b", told)] == []
    back = page.get_by_role("region", name="Where it came from, as a table")
    expect(back.get_by_role("row", name="H1 ")).to_contain_text("Larkham Hop Yard")
    expect(back.get_by_role("row", name="S1 ")).to_contain_text("< 0.001 kg")
    expect(page.get_by_text("Nothing was made of it.")).to_be_visible()
    expect(page.get_by_text("All of it is accounted for.")).to_be_visible()
    balance = page.get_by_role("region", name="Mass balance")
    expect(balance.get_by_role("row", name="at customers")).to_contain_text("3 each")
    expect(balance.get_by_role("row", name="Difference")).to_contain_text("0 each")


def test_kinds_of_link_and_a_moment_of_the_past_narrow_a_trace(house, opened, go):
    page = opened("quality", f"/lots/{house.lot('Y2').pk}/")
    assert {"D1", "M1", "Y1"} <= lots_in_table(page, "back")
    page.get_by_label("culture").check()
    page.get_by_role("button", name="Trace").click()
    expect(page.get_by_label("culture")).to_be_checked()
    assert lots_in_table(page, "back") == lots_in_drawing(page, "back") == {"Y1"}

    go(f"/lots/{house.lot('M1').pk}/")
    assert lots_in_table(page, "forward") == lots_in_drawing(page, "forward") == OF_THE_MALT
    page.get_by_label("As of").fill(f"{at(25):%Y-%m-%dT%H:%M}")
    page.get_by_role("button", name="Trace").click()
    expect(page.get_by_text("As it was on 3 Mar 2026, 09:00")).to_be_visible()
    assert lots_in_table(page, "forward") == lots_in_drawing(page, "forward") == {"W1", "T1", "MX1"}
    expect(page.get_by_text("All of it is accounted for.")).to_be_visible()


def test_a_lot_made_by_mistake_says_so(house, sign_in, go):
    sign_in("accounting")
    mistake = type(house.lot("M1")).objects.get(code="X9")
    page = go(f"/lots/{mistake.pk}/")
    expect(page.get_by_role("note")).to_contain_text("Made by mistake")
    ledger = page.get_by_role("region", name="What happened to it").locator("tbody tr")
    expect(ledger).to_contain_text(["(reversed)", "reversal"])
    expect(ledger.last.locator("td").last).to_have_text("entered by mistake")
    for cell, line in (("td:first-child", "line-through"), ("td:last-child", "none")):
        expect(ledger.last.locator(cell)).to_have_css("text-decoration-line", line)
    expect(page.get_by_text("Nothing of it lies anywhere")).to_be_visible()
