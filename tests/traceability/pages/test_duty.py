"""The pages of the duty record, as the accountant and the auditor read them."""

import io
import re
from datetime import date
from decimal import Decimal
from html import unescape
from uuid import uuid4

import openpyxl
import pytest
from django.test import Client

from inventory.models import Event
from inventory.services.certificates import Measured, enter_certificate
from tests.brewhouse import Brewhouse
from traceability.models import DutyClosing, DutyStanding
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
    assert "Must be settled: No measured alcohol, with method and day, of lots that duty is reckoned on: KEG1." in read
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
    read = words_of(auditor.get(MARCH))
    assert "Recorded after it was closed" in read
    assert "Destroyed 0 -100 0 0" in read
    assert "On hand at the end 815 715 0 0" in read
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


def test_a_standing_is_told_and_shown(brewhouse: Brewhouse):
    accountant = signed_in(brewhouse, "accounting")
    address, market = "/duty/standings/", brewhouse.party("MARKET").pk
    assert "all places are in bond, all parties duty paid" in words_of(accountant.get(address))
    told = {"request_id": str(uuid4()), "party": market, "standing": "abroad", "since": "2026-03-01T00:00"}
    assert accountant.post(address, told | {"standing": "somewhere"}).status_code == 400
    assert (accountant.post(address, told).status_code, accountant.post(address, told).status_code) == (303, 303)
    (row,) = DutyStanding.objects.all()
    assert (row.party_id, row.standing, row.since.isoformat()) == (market, "abroad", "2026-02-28T23:00:00+00:00")
    both = told | {"request_id": str(uuid4()), "place": brewhouse.place("STORE").pk}
    assert "Name a place or a party, one of them" in words_of(accountant.post(address, both))
    assert "abroad 1 Mar 2026, 00:00" in words_of(signed_in(brewhouse, "auditor").get(address))


def test_what_a_shipment_was_for_is_told_and_shown(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    accountant, days = signed_in(brewhouse, "accounting"), "first=2026-03-01&last=2026-03-31"
    address, shipment = f"/duty/purposes/?{days}", Event.objects.get(kind="ship")
    assert "as the party stands" in words_of(accountant.get(address))
    told = {"request_id": str(uuid4()), "event": shipment.pk, "purpose": "export"}
    assert accountant.post(address, told).status_code == 303
    assert "for export" in words_of(signed_in(brewhouse, "auditor").get(address))
    delivery = Event.objects.filter(kind="receive").earliest("pk").pk
    assert accountant.post(address, told | {"event": delivery}).status_code == 400
    assert "Nothing was shipped" in words_of(accountant.get("/duty/purposes/?first=2026-01-01&last=2026-01-31"))


def test_what_came_late_is_amended_with_its_reason(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    values = [Measured("alcohol", "4.8", method="EBC 9.2.1"), Measured("original_extract", "12.1", method="EBC 9.4")]
    enter_certificate(lot=brewhouse.lot("KEG1"), values=values, **brewhouse.by("quality"))
    accountant, march = signed_in(brewhouse, "accounting"), "/duty/de/2026-03-01/2026-03-31/"
    once = {"request_id": str(uuid4())}
    assert (accountant.post(march, once).status_code, accountant.post(march, once).status_code) == (303, 303)
    assert "Amend the period" not in words_of(accountant.get(march))
    brewhouse.destroy("KEG1", "COLD", "2 each", hours=350)
    assert "Amend the period" in words_of(accountant.get(march))
    assert "Amend the period" not in words_of(signed_in(brewhouse, "auditor").get(march))
    once = {"request_id": str(uuid4()), "closing": DutyClosing.objects.get().pk, "reason": "found at the count"}
    assert accountant.post(march, once | {"reason": ""}).status_code == 400
    assert (accountant.post(march, once).status_code, accountant.post(march, once).status_code) == (303, 303)
    assert accountant.get("/duty/").context["scheme"].key == "de"
    first, amendment = DutyClosing.objects.order_by("pk")
    assert (amendment.amends, amendment.reason) == (first, "found at the count")
    read = words_of(accountant.get(march))
    assert "Amended" in read
    assert "Destroyed -100 -100 0 0" in read
