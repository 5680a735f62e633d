"""A fill on a tablet, by keyboard alone, and the rules of accessibility on the pages of packaging."""

import pytest
from playwright.sync_api import expect

from brewery.production.models import PackagingFill
from tests.brewhouse import micro
from tests.browser.test_accessibility import look_at

pytestmark = pytest.mark.browser


@pytest.fixture
def run_page(live_server, brewhouse, sign_in, go):
    """25 crowns lie in run R1, and 1000 L of its beer in FV1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    brewhouse.draw(brewhouse.start_run("R1", hours=100), ("K1", "STORE", "25 each"), hours=100)
    sign_in("brewing")
    return go("/packaging/runs/R1/")


def test_a_run_is_filled_by_keyboard_alone_on_a_tablet(run_page):
    run_page.get_by_role("radio", name="50 L keg").focus()
    run_page.keyboard.press("Space")
    run_page.keyboard.press("Tab")
    for typed in ("", "10", "", "15", "", "1000", "495", "COLD"):
        run_page.keyboard.type(typed)
        run_page.keyboard.press("Tab")
    run_page.keyboard.press("Shift+Tab")
    run_page.keyboard.press("Enter")
    expect(run_page.locator("#brew-day")).to_contain_text("10 good, 0 rejects")
    assert PackagingFill.objects.get().tanks.get().left_micro == micro("505 L")


def test_no_page_of_packaging_breaks_a_rule(run_page, go):
    assert (
        look_at(run_page, go, ["/packaging/", "/packaging/runs/R1/", "/packaging/rules/", "/packaging/samples/"]) == {}
    )
