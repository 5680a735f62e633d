"""Stock taken at a period's end: place by place beside the book, with why it differs, kept with the closing."""

import csv
import io
import zipfile
from datetime import date

import pytest
import time_machine
from django.test import Client

from inventory.queries.usage import Period
from inventory.services.certificates import Measured, enter_certificate
from inventory.services.count_sheets import book_count, enter_count, hand_in_count, open_count
from tests.brewhouse import Brewhouse, at, micro
from traceability.queries.duty_archive import archive_of
from traceability.queries.duty_record import litres
from traceability.queries.duty_stocktake import stock_taken
from traceability.services.duty_periods import close_period

MARCH = Period(date(2026, 3, 1), date(2026, 3, 31))
END = 30 * 24
"""Hours from the start of the tests to the last day of March."""

pytestmark = pytest.mark.django_db


def take_stock(house: Brewhouse, kegs: str) -> None:
    """The cold store is counted on the last evening, and booked by another."""
    with time_machine.travel(at(END), tick=False):
        sheet = open_count(location=house.place("COLD"), **house.by("receiving"))
        for line in sheet.lines.all():
            held = house.held(line.lot.code, "COLD")
            counted = micro(kegs) if line.lot.code == "KEG1" else held
            enter_count(sheet=sheet, lot=line.lot, counted_micro=counted, **house.by("receiving"))
        sheet = hand_in_count(sheet=sheet, **house.by("receiving"))
        book_count(sheet=sheet, reason="one had burst", **house.by("accounting"))


def test_what_a_sheet_counted_stands_beside_the_book_with_its_reason(brewhouse: Brewhouse):
    """7 kegs of 50 L were in the book, 6 were found."""
    brewhouse.whole_chain()
    take_stock(brewhouse, "6 each")
    (taken,) = stock_taken(MARCH)
    assert (taken.place, taken.lot, taken.reason) == ("COLD", "KEG1", "one had burst")
    assert [litres(pico) for pico in (taken.book_pico, taken.counted_pico, taken.difference_pico)] == [
        "350",
        "300",
        "-50",
    ]


@pytest.mark.parametrize(
    ("counted", "litres_found", "difference"), [("8 each", "400", "50"), ("5 each", "250", "-100")]
)
def test_a_count_by_itself_stands_beside_the_book_of_then_and_one_that_was_taken_back_does_not(
    brewhouse: Brewhouse, counted: str, litres_found: str, difference: str
):
    brewhouse.whole_chain()
    found = brewhouse.count("KEG1", "COLD", counted, hours=END)
    brewhouse.destroy("KEG1", "COLD", "1 each", hours=END - 1, reason="told late")
    (taken,) = stock_taken(MARCH)
    assert [litres(pico) for pico in (taken.book_pico, taken.counted_pico, taken.difference_pico)] == [
        "350",
        litres_found,
        difference,
    ]
    brewhouse.reverse(found)
    assert stock_taken(MARCH) == []


def test_what_was_counted_long_before_the_end_is_no_stock_of_it(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    brewhouse.count("KEG1", "COLD", "8 each", hours=END - 24 * 9)
    assert stock_taken(MARCH) == []


def test_a_closing_keeps_it_and_the_page_shows_it(brewhouse: Brewhouse, client: Client):
    brewhouse.whole_chain()
    values = [Measured("alcohol", "4.8", method="EBC 9.2.1")]
    enter_certificate(lot=brewhouse.lot("KEG1"), values=values, **brewhouse.by("quality"))
    take_stock(brewhouse, "6 each")
    client.force_login(brewhouse.people["auditor"])
    address = "/duty/us/2026-03-01/2026-03-31/"
    shown = " ".join(client.get(address).content.decode().split())
    assert "one had burst" in shown
    assert '<td class="number">350</td><td class="number">300</td><td class="number">-50</td> <td></td>' in shown
    closing = close_period(scheme="us", first=MARCH.first, last=MARCH.last, **brewhouse.by("accounting"))
    with zipfile.ZipFile(io.BytesIO(archive_of(closing))) as archive:
        (row,) = csv.DictReader(io.StringIO(archive.read("stock.csv").decode()))
    assert (row["book_l"], row["counted_l"], row["difference_l"], row["reason"]) == (
        "350",
        "300",
        "-50",
        "one had burst",
    )
    assert "one had burst" in client.get(address).content.decode()
