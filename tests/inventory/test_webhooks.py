"""Webhooks: an alert is told once when it opens and once when it closes, signed, to addresses that are allowed."""

from collections.abc import Iterator
from threading import Event

import pytest

from brewery.kernel.errors import InvalidInput
from brewery.kernel.jobs.loop import run_what_is_due
from brewery.kernel.models import Job
from inventory.models import Alert, Webhook, WebhookMessage
from inventory.services.alerts import look
from inventory.services.webhooks import add_webhook, end_webhook, signature
from tests.brewhouse import Brewhouse
from tests.inventory.receiver import Receiver, receiving


@pytest.fixture
def receiver(settings) -> Iterator[Receiver]:
    settings.WEBHOOKS_WITHIN = True
    settings.REDIS_URL = ""
    with receiving() as one:
        yield one


@pytest.fixture
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
    ],
)
def test_an_address_within_the_network_is_refused(brewhouse: Brewhouse, address: str, problem: str):
    with pytest.raises(InvalidInput, match=problem):
        add_webhook(address=address, **brewhouse.by("administration"))
    assert not Webhook.objects.exists()
