"""From beat to people and programs: an alert reaches a mail server and a webhook, and a killed worker loses nothing."""

import os
import signal
from datetime import timedelta
from pathlib import Path

import pytest
from celery import Celery

from brewery.kernel.clock import now
from brewery.kernel.models import Job, ScheduleMark
from inventory.models import Alert, Digest, WebhookMessage
from inventory.services.alert_bells import LOOK, WITHIN, Bell
from inventory.services.webhooks import add_webhook, signature
from tests.brewhouse import Brewhouse
from tests.inventory.mail_sink import mail_sink
from tests.inventory.receiver import receiving
from tests.kernel.jobs.waiting import wait_until
from tests.processes import REDIS_URL, WORKER, Start, beat

pytestmark = [pytest.mark.redis, pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def make_due(job: str) -> None:
    """The job was enqueued last so long ago that the clock asks for it at once."""
    ScheduleMark.objects.update_or_create(name=job, defaults={"last_run_at": now() - timedelta(days=3)})


def test_what_beat_finds_reaches_people_and_programs_once_though_a_worker_is_killed(
    brewhouse: Brewhouse, start: Start, tmp_path: Path, settings
):
    settings.WEBHOOKS_WITHIN = True
    brewhouse.deliver("PILS", "M1", "100 kg")
    brewhouse.decide("M1", "rejected", hours=1, reason="mould")
    quality = brewhouse.people["quality"]
    quality.email = "quality@quillmere.example"
    quality.save()
    with receiving() as receiver, mail_sink() as sink:
        webhook = add_webhook(address=receiver.address, kinds=["rejected_here"], **brewhouse.by("administration"))
        receiver.hold()
        variables = {"EMAIL_URL": sink.address, "WEBHOOKS_WITHIN": "true"}
        make_due("look_for_alerts")
        start(*beat(tmp_path), **variables)
        worker = start(*WORKER, **variables)

        # The worker dies while the receiver has the message and has not answered.
        wait_until(lambda: receiver.came)
        os.killpg(worker.pid, signal.SIGKILL)
        worker.wait()
        assert WebhookMessage.objects.get().sent_at is None, "it was killed in the middle"
        receiver.let_go()
        start(*WORKER, **variables)
        wait_until(lambda: WebhookMessage.objects.filter(sent_at__isnull=False).exists())

        make_due("ask_for_digests")
        wait_until(lambda: Digest.objects.exists())
        wait_until(lambda: not Job.objects.filter(state__in=[Job.State.WAITING, Job.State.RUNNING]).exists())

    alert = Alert.objects.get(kind="rejected_here")
    message = WebhookMessage.objects.get()
    assert len(receiver.came) > 1, "it was sent again, under the id that it had"
    assert list(receiver.told) == [str(message.pk)]
    assert receiver.told[str(message.pk)]["data"]["words"] == alert.words
    for headers, body in receiver.came:
        told = signature(webhook.secret, headers["webhook-id"], headers["webhook-timestamp"], body)
        assert headers["webhook-signature"] == told
    (mail,) = sink.came
    assert mail["To"] == "quality@quillmere.example"
    assert alert.words in " ".join(str(mail.get_payload(decode=True), "utf-8").split())
    assert Digest.objects.get().person == quality
    assert not Job.objects.filter(state=Job.State.FAILED).exists()


def test_a_digest_that_was_sent_is_not_sent_again_by_the_next_worker(
    brewhouse: Brewhouse, start: Start, tmp_path: Path
):
    brewhouse.deliver("PILS", "M1", "100 kg")
    brewhouse.decide("M1", "rejected", hours=1, reason="mould")
    quality = brewhouse.people["quality"]
    quality.email = "quality@quillmere.example"
    quality.save()
    with mail_sink() as sink:
        variables = {"EMAIL_URL": sink.address}
        make_due("look_for_alerts")
        start(*beat(tmp_path), **variables)
        worker = start(*WORKER, **variables)
        wait_until(lambda: Alert.objects.filter(kind="rejected_here").exists())
        for _ in range(2):
            make_due("ask_for_digests")
            wait_until(lambda: Job.objects.filter(name="ask_for_digests", state=Job.State.DONE).exists())
            wait_until(lambda: not Job.objects.filter(state__in=[Job.State.WAITING, Job.State.RUNNING]).exists())
            os.killpg(worker.pid, signal.SIGKILL)
            worker.wait()
            worker = start(*WORKER, **variables)
    assert [mail["To"] for mail in sink.came] == ["quality@quillmere.example"]


@pytest.fixture
def bell(prefix: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What this process rings is heard by the workers of the test, and by no others."""
    app = Celery(broker=REDIS_URL)
    app.conf.broker_transport_options = {"global_keyprefix": prefix}
    monkeypatch.setattr("brewery.kernel.services.jobs.current_app", app)


@pytest.mark.usefixtures("bell")
def test_a_write_has_its_alert_without_beat_and_once_for_many(brewhouse: Brewhouse, start: Start):
    for number in range(3):
        brewhouse.deliver("PILS", f"M{number}", "100 kg")
        brewhouse.decide(f"M{number}", "rejected", hours=1, reason="mould")
    looks = Job.objects.filter(name=LOOK, arguments={"bell": Bell.DISPOSITION.value})
    asked = looks.count()
    assert asked == 1 or looks.last().run_after - looks.first().run_after >= WITHIN / 2, "one look, unless it was slow"
    start(*WORKER)
    wait_until(lambda: not looks.exclude(state=Job.State.DONE).exists())
    assert Alert.objects.open().filter(kind="rejected_here").count() == 3
    assert looks.count() == asked
    assert not Job.objects.filter(name="look_for_alerts").exists(), "no clock asked"
