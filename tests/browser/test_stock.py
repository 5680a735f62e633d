"""The pages of the stock and of counts break no rule of accessibility, by daylight and in the dark."""

import pytest

from inventory.services.count_sheets import open_count
from tests.browser.test_accessibility import look_at
from tests.inventory.stockroom import keep

pytestmark = pytest.mark.browser


def test_no_page_of_the_stock_breaks_a_rule(page, house, sign_in, go):
    lot, material = house.lot("H1").pk, house.material("SAAZ").pk
    keep(house, "H1", "1 kg", "B9")
    count = open_count(location=house.place("STORE"), **house.by("receiving")).pk
    sign_in("brewing")
    addresses = [
        "/stock/",
        "/stock/lots/",
        "/stock/places/",
        f"/stock/materials/{material}/?quantity=1",
        f"/stock/lots/{lot}/",
        f"/stock/lots/{lot}/move/",
        "/counts/",
        f"/counts/{count}/?lot=H1",
    ]
    assert look_at(page, go, addresses) == {}
