"""The floor, and the way from a scanned code to its lot."""

import re

import pytest
from playwright.sync_api import expect

from brewery.kernel.templatetags.shell import quantity
from inventory.models import Balance, Location

pytestmark = pytest.mark.browser

VESSELS = (*Location.TANKS, Location.Kind.BRINK, Location.Kind.SILO)


def test_the_floor_shows_all_that_lies_anywhere_with_quantity_and_disposition(house, opened):
    page = opened("brewing", "/")
    shown = Balance.objects.filter(quantity_micro__gt=0, location__kind__in=[*VESSELS, *Location.STOCK])
    assert shown.count() > 10
    for balance in shown.select_related("lot__material", "location"):
        name, lot = balance.location.name, balance.lot
        if balance.location.kind in VESSELS:
            place = page.locator(".vessel").filter(has=page.get_by_role("heading", name=name, exact=True))
        else:
            place = page.get_by_role("region", name=name).get_by_role("row").filter(has_text=lot.material.name)
        place = place.filter(has=page.get_by_role("link", name=lot.code, exact=True))
        expect(place).to_have_count(1)
        expect(place).to_contain_text(quantity(balance.quantity_micro, lot.material.base_unit))
        expect(place).to_contain_text(lot.get_disposition_display())
    expect(page.get_by_role("link", name="X9")).to_have_count(0)
    page.get_by_role("navigation", name="On this page").get_by_role("link", name="Cold store").click()
    expect(page.get_by_role("heading", name="Cold store")).to_be_in_viewport()


def test_a_scanned_code_leads_to_its_lot_and_part_of_one_to_those_that_fit(house, opened):
    page = opened("receiving", "/")
    find = page.get_by_role("search").get_by_role("searchbox")
    find.focus()
    page.keyboard.type("KEG1")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Lot KEG1")
    find.focus()
    page.keyboard.type("h")
    page.keyboard.press("Enter")
    expect(page.locator("td a.code")).to_have_text(["H3", "H2", "H1"])
    page.get_by_label("Disposition").select_option(label="on hold")
    page.get_by_role("button", name="Show").click()
    expect(page.locator("td a.code")).to_have_text(["H3"])
    page.get_by_label("Lot code").fill("nothing like it")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_text("No lot fits.")).to_be_visible()
    expect(page).to_have_url(re.compile("/lots/.*q=nothing"))
