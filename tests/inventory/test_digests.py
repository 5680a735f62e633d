"""Digests: one mail a day for each person, about what is theirs to act on."""

from datetime import timedelta
from threading import Event

import pytest
import time_machine

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.jobs.loop import run_what_is_due
from inventory.models import Digest
from inventory.services.alerts import look
from inventory.services.digests import ask_for_digests, send_digest
from tests.brewhouse import Brewhouse


@pytest.fixture
def house(brewhouse: Brewhouse, settings) -> Brewhouse:
    settings.REDIS_URL = ""
    brewhouse.stock_up()
    brewhouse.decide("M1", "rejected", hours=5, reason="mould")
    look("rejected_here")
    for person in brewhouse.people.values():
        person.email = f"{person.username}@brewery.example"
        person.save()
    return brewhouse


def test_whoever_has_something_to_act_on_has_one_mail_a_day(house: Brewhouse, mailoutbox):
    for _ in range(2):
        ask_for_digests()
        run_what_is_due(Event())
    (mail,) = mailoutbox
    assert mail.to == [house.people["quality"].email]
    assert "Lot M1 of Pilsner malt is rejected and still here" in mail.body
    with time_machine.travel(now() + timedelta(days=1), tick=False):
        assert ask_for_digests() == 1
        run_what_is_due(Event())
    assert len(mailoutbox) == 2
    assert len({mail.extra_headers["Message-ID"] for mail in mailoutbox}) == 2


def test_a_mail_that_could_not_be_sent_is_not_on_record_and_comes_again_under_its_id(house: Brewhouse, monkeypatch):
    sent: list[str] = []

    def fail_once(mail, fail_silently=False) -> int:
        sent.append(mail.extra_headers["Message-ID"])
        if len(sent) == 1:
            raise OSError("no line")
        return 1

    monkeypatch.setattr("django.core.mail.EmailMessage.send", fail_once)
    person, day = house.people["quality"], brewery_day()
    with pytest.raises(OSError, match="no line"):
        send_digest(person, day)
    assert not Digest.objects.exists()
    assert send_digest(person, day) == 1
    assert send_digest(person, day) == 0
    assert len(sent) == 2
    assert len(set(sent)) == 1


def test_who_has_nothing_to_act_on_or_no_address_has_no_mail(house: Brewhouse, mailoutbox):
    person = house.people["quality"]
    person.email = ""
    person.save()
    assert ask_for_digests() == 0
    assert send_digest(house.people["brewing"], brewery_day()) == 0
    assert mailoutbox == []
