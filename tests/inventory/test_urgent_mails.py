"""Urgent alerts are mailed at once to those who act on them and wish it, and a digest to those who wish that."""

from datetime import timedelta
from threading import Event

import pytest
from django.db import DatabaseError, transaction

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.jobs.loop import run_what_is_due
from brewery.kernel.models import Job
from inventory.models import Alert, MailWish
from inventory.services import alerts
from inventory.services.alerts import AlertKind, Cause, heed_alert, look
from inventory.services.digests import ask_for_digests, send_digest
from inventory.services.mail_wishes import wish_for_mail
from inventory.services.urgent_mails import SEND, send_urgent_mail
from tests.brewhouse import Brewhouse

CAUSES: list[Cause] = []


@pytest.fixture
def house(brewhouse: Brewhouse, settings, monkeypatch) -> Brewhouse:
    settings.REDIS_URL = ""
    CAUSES.clear()
    monkeypatch.setattr(alerts, "_kinds", {"leak": AlertKind("leak", "Leak", lambda moment: list(CAUSES))})
    for person in brewhouse.people.values():
        person.email = f"{person.username}@brewery.example"
        person.save()
    return brewhouse


def wish(house: Brewhouse, role: str, *, digest: bool, urgent: bool, without: tuple[str, ...] = ()) -> MailWish:
    return wish_for_mail(has_digest=digest, has_urgent=urgent, without=without, **house.by(role))


def leak(severity: Alert.Severity, words: str = "Tank FV1 drips.") -> Alert:
    CAUSES[:] = [Cause("FV1", words, Role.BREWING, severity)]
    look("leak")
    return Alert.objects.open().get()


def test_who_acts_on_it_and_wishes_it_is_told_at_once_and_once(house: Brewhouse, mailoutbox):
    wish(house, "brewing", digest=True, urgent=True)
    wish(house, "quality", digest=True, urgent=True)
    leak(Alert.Severity.URGENT)
    look("leak")
    run_what_is_due(Event())
    (mail,) = [one for one in mailoutbox if one.subject.startswith("Grainward, at once")]
    assert mail.to == [house.people["brewing"].email]
    assert mail.subject == "Grainward, at once: Tank FV1 drips."
    assert "Tank FV1 drips." in mail.body


def test_what_becomes_urgent_is_told_and_what_is_not_urgent_or_not_wished_is_not(house: Brewhouse):
    leak(Alert.Severity.URGENT)
    assert not Job.objects.filter(name=SEND).exists(), "nobody wished it"
    CAUSES.clear()
    look("leak")
    wish(house, "brewing", digest=True, urgent=True)
    leak(Alert.Severity.WARNING)
    assert not Job.objects.filter(name=SEND).exists()
    alert = leak(Alert.Severity.URGENT)
    assert [job.arguments["alert"] for job in Job.objects.filter(name=SEND)] == [alert.pk]


def test_a_mail_sent_again_has_its_id_and_none_goes_out_for_what_is_gone_or_put_off(house: Brewhouse, mailoutbox):
    person = house.people["brewing"]
    wish(house, "brewing", digest=True, urgent=True)
    alert = leak(Alert.Severity.URGENT, "Tank FV1 drips\nand runs. " + "x" * 200)
    assert send_urgent_mail(person, alert)
    assert send_urgent_mail(person, alert)
    assert len({mail.extra_headers["Message-ID"] for mail in mailoutbox}) == 1
    assert len(mailoutbox[0].subject) < 160
    heed_alert(alert=alert, kind="snoozed", until=now() + timedelta(hours=1), **house.by("brewing"))
    assert not send_urgent_mail(person, alert)
    heed_alert(alert=alert, kind="woken", **house.by("brewing"))
    wish(house, "brewing", digest=True, urgent=False)
    assert not send_urgent_mail(person, alert)
    wish(house, "brewing", digest=True, urgent=True)
    CAUSES.clear()
    look("leak")
    assert not send_urgent_mail(person, alert)
    assert len(mailoutbox) == 2


def test_who_wishes_no_digest_has_none_until_he_wishes_it_again(house: Brewhouse):
    leak(Alert.Severity.WARNING)
    wish(house, "brewing", digest=False, urgent=False)
    assert ask_for_digests() == 0
    wish(house, "brewing", digest=True, urgent=False)
    assert ask_for_digests() == 1


def test_of_a_kind_that_one_wishes_none_of_nothing_is_mailed(house: Brewhouse, mailoutbox):
    person, day = house.people["brewing"], brewery_day()
    wish(house, "brewing", digest=True, urgent=True)
    alert = leak(Alert.Severity.URGENT)
    assert Job.objects.filter(name=SEND).count() == 1
    wish(house, "brewing", digest=True, urgent=True, without=("leak",))
    assert not send_urgent_mail(person, alert)
    assert send_digest(person, day) == 0
    CAUSES.clear()
    look("leak")
    leak(Alert.Severity.URGENT)
    assert Job.objects.filter(name=SEND).count() == 1
    assert mailoutbox == []
    wish(house, "brewing", digest=True, urgent=True)
    assert send_digest(person, day) == 1
    with pytest.raises(InvalidInput, match="Choose from: leak"):
        wish(house, "brewing", digest=True, urgent=True, without=("flood",))


def test_a_wish_is_never_changed_and_is_refused_without_an_address(house: Brewhouse):
    told = wish(house, "brewing", digest=True, urgent=True)
    with pytest.raises(DatabaseError, match="wishes_for_mail"), transaction.atomic():
        MailWish.objects.filter(pk=told.pk).update(has_digest=False)
    house.people["brewing"].email = ""
    with pytest.raises(InvalidInput, match="no mail address"):
        wish(house, "brewing", digest=False, urgent=True)
    assert wish(house, "brewing", digest=False, urgent=False).pk > told.pk
