"""The pages behind every figure: the record of a lot, and one event of the ledger."""

import re

import pytest

from inventory.models import Posting
from tests.signing import signed_in


@pytest.mark.usefixtures("whole_chain")
def test_a_lots_figure_leads_to_its_event_and_back_to_every_lot_that_moved(brewhouse):
    desk = signed_in(brewhouse, "quality")
    page = desk.get(f"/lots/{brewhouse.lot('KEG1').pk}/").content.decode()
    made = Posting.objects.filter(lot=brewhouse.lot("KEG1")).earliest("pk").event
    assert f'href="/events/{made.pk}/"' in page
    event = desk.get(f"/events/{made.pk}/").content.decode()
    for lot in ("BB1", "K1", "KEG1"):
        assert f'href="/lots/{brewhouse.lot(lot).pk}/"' in event


def test_a_reversal_and_what_it_reverses_name_each_other(brewhouse):
    brewhouse.deliver("PILS", "M1", "10 kg")
    event = Posting.objects.get().event
    undone = brewhouse.reverse(event)
    desk = signed_in(brewhouse, "quality")
    assert "Reversed by" in desk.get(f"/events/{event.pk}/").content.decode()
    assert f'href="/events/{event.pk}/"' in desk.get(f"/events/{undone.pk}/").content.decode()


@pytest.mark.usefixtures("whole_chain")
def test_the_record_of_a_lot_leads_to_each_event_and_to_paper(brewhouse):
    desk = signed_in(brewhouse, "auditor")
    page = desk.get("/lots/KEG1/audit/").content.decode()
    events = set(Posting.objects.filter(lot=brewhouse.lot("KEG1")).values_list("event", flat=True))
    assert events <= {int(number) for number in re.findall(r'href="/events/(\d+)/"', page)}
    assert desk.get("/lots/KEG1/audit.pdf")["Content-Type"] == "application/pdf"


def test_a_lot_or_an_event_that_is_not_there_is_not_found(brewhouse):
    desk = signed_in(brewhouse, "quality")
    for address in ("/lots/NO-1/audit/", "/lots/NO-1/audit.pdf", "/events/77/"):
        assert desk.get(address).status_code == 404
