"""The pages of webhooks and of what one is mailed: entered, looked up, sent again, ended; wishes kept."""

import re
import uuid

import pytest

from brewery.kernel.models import Job
from inventory.models import MailWish, Webhook, WebhookMessage
from inventory.services.alerts import look
from inventory.services.webhooks import SEND
from tests.brewhouse import Brewhouse
from tests.signing import signed_in


@pytest.fixture(autouse=True)
def within(settings) -> None:
    settings.WEBHOOKS_WITHIN, settings.REDIS_URL = True, ""


def sent(**said: str) -> dict[str, str]:
    return {**said, "request_id": str(uuid.uuid4())}


def test_an_address_is_entered_shows_its_secret_once_is_sent_again_to_and_ended(brewhouse: Brewhouse):
    brewhouse.stock_up()
    browser = signed_in(brewhouse, "administration")
    assert "No address is told of alerts." in browser.get("/alerts/webhooks/").content.decode()
    bad = browser.post("/alerts/webhooks/", sent(address="ftp://127.0.0.1/x", least_severity="1"))
    assert bad.status_code == 400
    assert "Give an address that begins with https://." in bad.content.decode()
    asked = sent(address="http://127.0.0.1:9/told", least_severity="2", kinds="rejected_here")
    first, again = (browser.post("/alerts/webhooks/", asked).content.decode() for _ in range(2))
    webhook = Webhook.objects.get()
    assert webhook.secret in first
    assert webhook.secret in again
    assert webhook.secret not in browser.get("/alerts/webhooks/").content.decode()

    brewhouse.decide("M1", "rejected", hours=5, reason="mould")
    look("rejected_here")
    page = f"/alerts/webhooks/{webhook.pk}/"
    shown = browser.get(page).content.decode()
    assert "Lot M1 of Pilsner malt is rejected" in shown
    assert "not yet" in shown
    assert "Rejected and still here" in shown
    message = WebhookMessage.objects.get()
    Job.objects.all().delete()
    again_asked = sent(message=str(message.pk))
    for _ in range(2):
        assert browser.post(page, again_asked).status_code == 303
    assert [job.arguments for job in Job.objects.filter(name=SEND)] == [{"message": str(message.pk)}]
    assert browser.post(page, sent(message="")).status_code == 303
    webhook.refresh_from_db()
    assert webhook.ended_at
    late = browser.post(page, sent(message=str(message.pk)))
    assert late.status_code == 400
    assert "The webhook has ended." in late.content.decode()


def test_one_says_what_one_is_mailed_and_finds_it_kept(brewhouse: Brewhouse):
    brewer, auditor = signed_in(brewhouse, "brewing"), signed_in(brewhouse, "auditor")
    assert "You have no mail address here" in brewer.get("/alerts/mail/").content.decode()
    refused = brewer.post("/alerts/mail/", sent(has_urgent="on"))
    assert refused.status_code == 400
    assert "ask administration to enter it" in refused.content.decode()
    person = brewhouse.people["brewing"]
    person.email = "brewer@brewery.example"
    person.save()
    assert brewer.post("/alerts/mail/", sent(has_urgent="on", without="malt_old")).status_code == 303
    shown = brewer.get("/alerts/mail/").content.decode()
    assert "Mail goes to brewer@brewery.example." in shown
    ticked = {field: "checked" in field for field in re.findall(r"<input type=.checkbox[^>]*>", shown)}
    on = {re.search('(?:id)="([^"]*)"', field)[1] for field, is_on in ticked.items() if is_on}
    assert MailWish.objects.get().without == ["malt_old"]
    assert re.search(r'value="malt_old"[^>]*checked', shown)
    assert len(on) == 2
    assert "id_has_urgent" in on
    assert "What you are mailed" in brewer.get("/alerts/").content.decode()
    assert "What you are mailed" not in auditor.get("/alerts/").content.decode()
