"""The pages of the duty record, as the accountant and the auditor read them."""

import io
import re
from datetime import date
from decimal import Decimal
from html import unescape

import openpyxl
import pytest
from django.test import Client

from inventory.services.certificates import Measured, enter_certificate
from tests.brewhouse import Brewhouse
from traceability.models import DutyClosing
from traceability.services.duty_rates import tell_facts

MARCH = "/duty/us/2026-03-01/2026-03-31/"

pytestmark = pytest.mark.django_db


def words_of(answer) -> str:
    """What a person reads."""
    main = answer.content.decode().split("<main", 1)[1]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", main)).split())


def signed_in(house: Brewhouse, role: str) -> Client:
    client = Client()
    client.force_login(house.people[role], "django.contrib.auth.backends.ModelBackend")
    return client


def test_a_period_is_read_settled_and_closed(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    accountant, auditor = signed_in(brewhouse, "accounting"), signed_in(brewhouse, "auditor")
    read = words_of(accountant.get(MARCH))
    assert "Removed for consumption or sale -200 0 0" in read
    assert "On hand at the end 815 0 0" in read
    assert "Must be settled: No measured alcohol, with method and day, of lots that left bond: KEG1." in read
    assert "Close the period" not in read
    values = [Measured("alcohol", "4.8", method="EBC 9.2.1")]
    enter_certificate(lot=brewhouse.lot("KEG1"), values=values, **brewhouse.by("quality"))
    assert "Close the period" not in words_of(auditor.get(MARCH))
    page = accountant.get(MARCH)
    assert "Close the period" in words_of(page)
    assert accountant.post(MARCH, {"request_id": page.context["form"].initial["request_id"]}).status_code == 303
    closing = DutyClosing.objects.get()
    read = words_of(auditor.get(MARCH))
    assert closing.digest in read
    assert "by accounting" in read
    brewhouse.destroy("KEG1", "COLD", "2 each", hours=350)
    assert "Recorded after it was closed" in words_of(auditor.get(MARCH))
    april = words_of(auditor.get("/duty/us/2026-04-01/2026-04-30/"))
    assert "Recorded late for earlier periods -100 0 0" in april


def test_a_line_leads_to_its_postings(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    read = words_of(signed_in(brewhouse, "auditor").get(f"{MARCH}removed/"))
    assert "1 posting, together -200 L" in read
    assert "KEG1" in read
    assert signed_in(brewhouse, "auditor").get(f"{MARCH}drunk/").status_code == 404


def test_the_overview_names_the_next_period_and_shows_the_months(brewhouse: Brewhouse, time_machine):
    brewhouse.whole_chain()
    time_machine.move_to("2026-04-10T12:00:00Z")
    read = words_of(signed_in(brewhouse, "accounting").get("/duty/"))
    assert "Next to close: 2026-03-01 to 2026-03-31" in read
    assert "2026-03 200 15" in read
    assert "A worksheet, not a filing" in read


def test_a_period_is_a_workbook(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    answer = signed_in(brewhouse, "auditor").get(f"{MARCH}record.xlsx")
    book = openpyxl.load_workbook(io.BytesIO(answer.content))
    lines = {row[0].value: row[2].value for row in book["Lines"].iter_rows(min_row=2)}
    assert (lines["removed"], lines["returned"], lines["closing"]) == (-200, 50, 815)


@pytest.mark.parametrize(
    "address", ["/duty/us/2026-03-01/2026-03-30/", "/duty/x/2026-03-01/2026-03-31/", "/duty/us/a/b/"]
)
def test_what_is_no_period_has_no_page(brewhouse: Brewhouse, address: str):
    assert signed_in(brewhouse, "auditor").get(address).status_code == 404


def test_the_worksheet_asks_for_what_it_needs_and_says_what_is_owed(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    auditor = signed_in(brewhouse, "auditor")
    assert "Answer it first" in words_of(auditor.get(f"{MARCH}worksheet/"))
    told = {"scheme": "us", "since": date(2026, 1, 1), "facts": {"made_bbl": Decimal(5000)}}
    tell_facts(**told, **brewhouse.by("accounting"))
    read = words_of(auditor.get(f"{MARCH}worksheet/"))
    assert "calendar year? 5000" in read
    assert "4.45 USD on 1.27 US bbl" in read
    assert "14 Removed for consumption or sale 0.00 0.00 1.70 0.00 0.00 1.70" in read
    assert "Agrees: Line 13 is line 34 in every column." in read
