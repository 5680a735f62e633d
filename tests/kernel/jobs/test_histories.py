"""How jobs fared: on the page, over the API, at the supervisor's address; and what is forgotten."""

import uuid
from datetime import timedelta

import time_machine
from django.test import Client

from brewery.kernel.clock import now
from brewery.kernel.jobs.pruning import prune_jobs
from brewery.kernel.models import Job
from brewery.kernel.queries.jobs import histories
from brewery.kernel.services import jobs
from brewery.kernel.services.job_registry import schedule
from tests.brewhouse import Brewhouse
from tests.signing import signed_in


def ran(name: str, work) -> Job:
    """Let a job run until it is done or has failed for good."""
    job = jobs.enqueue(name)
    with time_machine.travel(now(), tick=False) as clock:
        while job.state not in (Job.State.DONE, Job.State.FAILED):
            clock.shift(timedelta(hours=3))
            claimed = jobs.claim(job.pk)
            assert claimed
            jobs.run(claimed, work)
            job.refresh_from_db()
    return job


def fail() -> None:
    raise OSError("no room")


def test_what_failed_is_told_on_the_page_and_to_the_supervisor_until_it_was_done(brewhouse: Brewhouse):
    name, client = "audit_ledger", signed_in(brewhouse, "administration")
    ran(name, lambda: {"disagreements": 0})
    assert Client().get("/jobsz").json() == {"jobs": True, "job_lag_s": 0, "failed": []}
    failed = ran(name, fail)
    answer = Client().get("/jobsz")
    assert (answer.status_code, answer.json()["failed"]) == (503, [name])
    page = client.get("/jobs/").content.decode()
    assert "OSError: no room" in page
    assert "daily at 02:30" in page
    again = {"job": failed.pk, "request_id": str(uuid.uuid4())}
    for _ in range(2):
        assert client.post("/jobs/", again).status_code == 303
    assert Job.objects.filter(state=Job.State.WAITING).count() == 1
    assert client.post("/jobs/", {"name": "nothing", "request_id": str(uuid.uuid4())}).status_code == 400
    Job.objects.filter(state=Job.State.WAITING).update(state=Job.State.DONE, finished_at=now())
    assert Client().get("/jobsz").status_code == 200


def test_late_jobs_are_told_to_the_supervisor(brewhouse: Brewhouse):
    jobs.enqueue("audit_ledger")
    with time_machine.travel(now() + timedelta(minutes=11), tick=False):
        answer = Client().get("/jobsz")
        assert (answer.status_code, answer.json()["jobs"], answer.json()["job_lag_s"]) == (503, False, 660)
        signed = signed_in(brewhouse, "administration")
        assert "is a worker running?" in signed.get("/jobs/").content.decode()


def test_how_long_the_last_took_is_counted_from_when_it_was_taken(brewhouse: Brewhouse):
    job = jobs.enqueue("audit_ledger")
    with time_machine.travel(now() + timedelta(minutes=1), tick=False) as clock:
        claimed = jobs.claim(job.pk)
        assert claimed
        jobs.run(claimed, lambda: clock.shift(timedelta(seconds=90)))
    assert histories()["audit_ledger"].took == timedelta(seconds=90)


def test_what_was_done_long_ago_is_forgotten_but_the_last_and_what_failed(brewhouse: Brewhouse):
    old, failed, last = ran("a", lambda: None), ran("a", fail), ran("a", lambda: None)
    with time_machine.travel(now() + timedelta(days=40), tick=False):
        assert prune_jobs() == {"forgotten": 1}
    assert set(Job.objects.values_list("pk", flat=True)) == {failed.pk, last.pk}
    assert old.pk not in {failed.pk, last.pk}


def test_every_job_of_the_schedule_has_its_line(brewhouse: Brewhouse):
    page = signed_in(brewhouse, "administration").get("/jobs/").content.decode()
    for name in schedule():
        assert name in page
