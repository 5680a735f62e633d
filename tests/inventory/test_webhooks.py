"""Webhooks: an alert is told once when it opens and once when it closes, signed, to addresses that are allowed."""

from collections.abc import Iterator
from datetime import timedelta
from threading import Event

import pytest
import time_machine
from django.db import connection

from brewery.kernel.access import Role
from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.jobs.loop import run_what_is_due
from brewery.kernel.models import Job
from inventory.models import Alert, Webhook, WebhookMessage
from inventory.services import alerts, webhooks
from inventory.services.alerts import AlertKind, Cause, look
from inventory.services.webhooks import add_webhook, end_webhook, signature
from tests.brewhouse import Brewhouse
from tests.inventory.receiver import Receiver, receiving
from tests.standing import built_once


@pytest.fixture
def receiver(settings) -> Iterator[Receiver]:
    settings.WEBHOOKS_WITHIN = True
    settings.REDIS_URL = ""
    with receiving() as one:
        yield one


@built_once
def rejected(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    brewhouse.decide("M1", "rejected", hours=5, reason="mould")
    return brewhouse


def told_to(house: Brewhouse, receiver: Receiver, **wishes) -> Webhook:
    return add_webhook(address=receiver.address, **wishes, **house.by("administration"))


def run_jobs() -> None:
    run_what_is_due(Event())


def test_a_signature_is_that_of_the_specification():
    # The example of the specification's reference libraries, standard-webhooks on GitHub; from memory.
    secret, message = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "msg_p5jXN8AQM9LWM0D4loKWxJek"
    signed = signature(secret, message, "1614265330", b'{"test": 2432232314}')
    assert signed == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


def test_an_alert_is_told_when_it_opens_and_when_it_closes(rejected: Brewhouse, receiver: Receiver):
    webhook = told_to(rejected, receiver)
    look("rejected_here")
    look("rejected_here")
    run_jobs()
    rejected.decide("M1", "released", hours=6)
    look("rejected_here")
    run_jobs()
    assert [one["type"] for one in receiver.told.values()] == ["alert.opened", "alert.closed"]
    headers, body = receiver.came[0]
    signed = signature(webhook.secret, headers["webhook-id"], headers["webhook-timestamp"], body)
    assert headers["webhook-signature"] == signed
    assert next(iter(receiver.told.values()))["data"]["kind"] == "rejected_here"
    assert set(WebhookMessage.objects.values_list("answer", flat=True)) == {204}


@pytest.mark.parametrize("answer", [500, 302, 404])
def test_what_is_not_taken_is_sent_again_under_the_same_id(rejected: Brewhouse, receiver: Receiver, answer: int):
    receiver.answers = [answer]
    told_to(rejected, receiver)
    look("rejected_here")
    run_jobs()
    waiting = Job.objects.get(name="send_webhook")
    assert (waiting.state, str(answer) in waiting.error) == (Job.State.WAITING, True)
    Job.objects.update(run_after=waiting.created_at)
    run_jobs()
    assert (len(receiver.came), len(receiver.told)) == (2, 1)
    Job.objects.update(state=Job.State.WAITING, finished_at=None)
    run_jobs()
    assert len(receiver.came) == 2


def test_an_address_is_told_only_what_it_wants_to_know_and_nothing_after_its_end(
    rejected: Brewhouse, receiver: Receiver
):
    told_to(rejected, receiver, least_severity=Alert.Severity.URGENT)
    told_to(rejected, receiver, kinds=["order_late"])
    look("rejected_here")
    assert not WebhookMessage.objects.exists()
    wanted = told_to(rejected, receiver, kinds=["rejected_here"])
    rejected.decide("M1", "released", hours=6)
    look("rejected_here")
    assert not WebhookMessage.objects.exists()
    rejected.decide("M1", "rejected", hours=7)
    look("rejected_here")
    assert WebhookMessage.objects.count() == 1
    end_webhook(webhook=wanted, **rejected.by("administration"))
    run_jobs()
    assert receiver.came == []


@pytest.mark.parametrize(
    ("address", "problem"),
    [
        ("http://127.0.0.1/told", "begins with https"),
        ("ftp://198.51.100.7/told", "begins with https"),
        ("https://", "begins with https"),
        ("https://127.0.0.1/told", "network of its own"),
        ("https://10.0.0.8/told", "network of its own"),
        ("https://169.254.169.254/latest", "network of its own"),
        ("https://[::1]/told", "network of its own"),
        ("https://[::1/told", "no address"),
        ("https://localhost:99999/told", "port is 1 to 65535"),
        (f"https://{'a' * 64}.localhost/told", "not found"),
    ],
)
def test_an_address_that_is_none_or_within_the_network_is_refused(brewhouse: Brewhouse, address: str, problem: str):
    with pytest.raises(InvalidInput, match=problem):
        add_webhook(address=address, **brewhouse.by("administration"))
    assert not Webhook.objects.exists()


@pytest.fixture
def leaking(monkeypatch: pytest.MonkeyPatch) -> list[Cause]:
    """What is there to be found of the kind "leak": whatever is put into the list."""
    causes: list[Cause] = []
    monkeypatch.setitem(alerts._kinds, "leak", AlertKind("leak", "Leak", lambda moment: causes))
    return causes


def leak(severity: Alert.Severity) -> Cause:
    return Cause("FV1", "It drips.", Role.BREWING, severity)


def test_what_gets_more_pressing_is_told_and_whoever_hears_of_it_hears_of_its_end(
    brewhouse: Brewhouse, receiver: Receiver, leaking: list[Cause]
):
    everything = told_to(brewhouse, receiver)
    pressing = told_to(brewhouse, receiver, least_severity=Alert.Severity.URGENT)
    for severity in (Alert.Severity.WARNING, Alert.Severity.URGENT, Alert.Severity.WARNING, Alert.Severity.URGENT):
        leaking[:] = [leak(severity)]
        look("leak")
    leaking.clear()
    look("leak")
    run_jobs()
    heard = {
        webhook.pk: list(webhook.messages.order_by("written_at").values_list("event", flat=True))
        for webhook in (everything, pressing)
    }
    assert heard == {
        everything.pk: ["alert.opened", "alert.raised", "alert.closed"],
        pressing.pk: ["alert.opened", "alert.closed"],
    }
    assert len(receiver.told) == 5


def test_an_end_that_was_never_heard_of_is_not_told(brewhouse: Brewhouse, receiver: Receiver, leaking: list[Cause]):
    told_to(brewhouse, receiver, least_severity=Alert.Severity.URGENT)
    leaking[:] = [leak(Alert.Severity.WARNING)]
    look("leak")
    leaking.clear()
    look("leak")
    assert not WebhookMessage.objects.exists()


def test_a_message_is_the_same_however_late_it_is_taken(rejected: Brewhouse, receiver: Receiver):
    receiver.answers = [500]
    told_to(rejected, receiver, kinds=["rejected_here"])
    look("rejected_here")
    run_jobs()
    rejected.decide("M1", "released", hours=6)
    look("rejected_here")
    Job.objects.update(run_after=now())
    run_jobs()
    bodies: dict[str, set[bytes]] = {}
    for headers, body in receiver.came:
        bodies.setdefault(headers["webhook-id"], set()).add(body)
    assert [len(one) for one in bodies.values()] == [1, 1]


def test_nothing_is_locked_while_a_receiver_is_waited_for(rejected: Brewhouse, receiver: Receiver, monkeypatch):
    told_to(rejected, receiver)
    look("rejected_here")
    held, really_post = [], webhooks._post

    def post_and_look(*told) -> int:
        held.append(len(connection.savepoint_ids))
        return really_post(*told)

    monkeypatch.setattr(webhooks, "_post", post_and_look)
    outside = len(connection.savepoint_ids)
    run_jobs()
    assert held == [outside]


def test_an_address_that_does_not_answer_is_told_to_people_once_and_to_no_address(
    rejected: Brewhouse, receiver: Receiver
):
    told_to(rejected, receiver)
    with receiving() as dead:
        dead.answers = [500] * 100
        silent = told_to(rejected, dead, kinds=["rejected_here"])
        look("rejected_here")
        with time_machine.travel(now(), tick=False) as clock:
            for _ in range(8):
                run_jobs()
                clock.shift(timedelta(hours=1))
                look("job_failed")
                look("webhook_unanswered")
    assert len(dead.came) == 5
    assert Job.objects.filter(state=Job.State.FAILED).count() == 1
    alert = Alert.objects.get(kind__in=["job_failed", "webhook_unanswered"])
    assert (alert.kind, alert.cause) == ("webhook_unanswered", f"webhook {silent.pk}")
    told = [one["data"]["kind"] for one in receiver.told.values()]
    assert told.count("rejected_here") == 1
    assert "webhook_unanswered" not in told
    end_webhook(webhook=silent, **rejected.by("administration"))
    look("webhook_unanswered")
    assert not Alert.objects.open().filter(kind="webhook_unanswered").exists()
