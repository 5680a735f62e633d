"""Who is shown what, and what is answered where there is nothing to show."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from brewery.kernel.access import Right
from brewery.kernel.pages.navigation import entries_of

pytestmark = pytest.mark.browser


def test_somebody_without_a_role_is_refused_in_words(house, watch, sign_in, go):
    sign_in("")
    watch.expect(403)
    for address in ("/", "/lots/", f"/lots/{house.lot('KEG1').pk}/"):
        page = go(address)
        expect(page.get_by_role("heading", level=1)).to_have_text("That is not for your role")
        expect(page.get_by_text("KEG1")).to_have_count(0)


def test_an_auditor_is_shown_everything_and_nothing_that_writes(house, opened, go):
    page = opened("auditor", "/")
    links = page.get_by_role("navigation", name="Main").get_by_role("link")
    addresses = {reverse(entry.url_name) for entry in entries_of() if entry.right == Right.VIEW_RECORDS}
    assert {link.get_attribute("href") for link in links.all()} <= addresses
    for address in [*sorted(addresses), f"/lots/{house.lot('KEG1').pk}/"]:
        go(address)
        expect(page.get_by_role("heading", level=1)).to_have_count(1)
        expect(page.locator("form[method=post]")).to_have_count(1)
        expect(page.locator("form[method=post]").get_by_role("button")).to_have_text("Sign out")
        expect(page.locator("[hx-post], [hx-put], [hx-patch], [hx-delete]")).to_have_count(0)


def test_an_address_that_names_nothing_is_answered_with_a_way_back(house, watch, sign_in, go):
    sign_in("brewing")
    watch.expect(404)
    for address in ("/lots/999999/", "/nothing/here/"):
        page = go(address)
        expect(page.get_by_role("heading", level=1)).to_have_text("There is no such page")
    page.get_by_role("link", name="To the start page").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Tanks and stores")
