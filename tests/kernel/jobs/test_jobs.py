"""A job runs exactly once: whoever else runs, whenever a runner dies, whatever goes wrong on the way."""

from datetime import UTC, datetime, timedelta
from threading import Event, Thread

import pytest
import time_machine
from celery import current_app
from django.contrib.auth.models import Group
from django.db import IntegrityError, OperationalError, transaction

from brewery.kernel.jobs import loop
from brewery.kernel.jobs.loop import run_until, run_what_is_due
from brewery.kernel.jobs.tasks import run_job, sweep
from brewery.kernel.models import Job
from brewery.kernel.queries.jobs import lag
from brewery.kernel.services import job_registry as registry
from brewery.kernel.services import jobs
from brewery.kernel.services.jobs import claim, enqueue, run

NIGHT = datetime(2026, 3, 2, 1, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture
def clock():
    with time_machine.travel(NIGHT, tick=False) as traveller:
        yield traveller


def found_a_guild(name: str) -> str:
    """Write a row that a second run would double."""
    Group.objects.create(name=name)
    return name


def fail(**_: object) -> None:
    Group.objects.create(name="left behind")
    raise ValueError("the hop store is on fire")


def guilds() -> list[str]:
    return sorted(Group.objects.filter(name__startswith="guild").values_list("name", flat=True))


def run_all() -> int:
    return run_what_is_due(Event())


def test_a_job_runs_with_its_arguments_and_keeps_its_result(clock, job_that):
    job = enqueue(job_that(found_a_guild), {"name": "guild 1"})
    assert run_all() == 1
    job.refresh_from_db()
    assert (job.state, job.attempts, job.result, job.error) == (Job.State.DONE, 1, "guild 1", "")
    assert (job.created_at, job.finished_at, job.lease_until) == (NIGHT, NIGHT, None)
    assert (run_all(), guilds()) == (0, ["guild 1"])


def test_a_job_that_its_transaction_took_back_was_never_there(job_that, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks() as bells, transaction.atomic():
        enqueue(job_that(found_a_guild), {"name": "guild 1"})
        transaction.set_rollback(True)
    assert (bells, Job.objects.count(), run_all(), guilds()) == ([], 0, 0, [])


def test_a_job_that_somebody_runs_is_nobody_elses(clock, job_that):
    job = enqueue(job_that(found_a_guild), {"name": "guild 1"})
    assert claim(job.pk) is not None
    assert claim(job.pk) is None
    run_job(job.pk)
    assert (run_all(), guilds()) == (0, [])


def test_two_runners_that_read_the_same_waiting_job_run_it_once(clock, job_that, monkeypatch):
    job = enqueue(job_that(found_a_guild), {"name": "guild 1"})
    really_move, others = jobs._move, []

    def move_after_another(row: Job, **changes: object) -> bool:
        if not others:
            others.append(None)
            others.append(claim(job.pk))
        return really_move(row, **changes)

    monkeypatch.setattr(jobs, "_move", move_after_another)
    assert claim(job.pk) is None
    assert others[1].attempts == 1


def test_a_job_comes_back_when_its_runners_lease_has_run_out(clock, job_that, settings):
    job = enqueue(job_that(found_a_guild), {"name": "guild 1"})
    claim(job.pk)
    clock.shift(settings.JOBS_LEASE - timedelta(seconds=1))
    assert run_all() == 0
    clock.shift(timedelta(seconds=1))
    assert run_all() == 1
    job.refresh_from_db()
    assert (job.state, job.attempts, guilds()) == (Job.State.DONE, 2, ["guild 1"])


def test_a_runner_that_lost_its_lease_takes_its_work_back(clock, job_that, settings):
    job = enqueue(job_that(found_a_guild), {"name": "guild of two"})
    late = claim(job.pk)
    clock.shift(settings.JOBS_LEASE)
    second = claim(job.pk)
    run(late, lambda name: found_a_guild(f"{name}, the late one"))
    assert guilds() == []
    run(second, found_a_guild)
    run(late, lambda name: found_a_guild(f"{name}, the late one"))
    job.refresh_from_db()
    assert (guilds(), job.result, job.attempts) == (["guild of two"], "guild of two", 2)


def test_a_job_that_fails_leaves_nothing_and_is_tried_again_after_growing_pauses(clock, job_that):
    job = enqueue(job_that(fail), {"name": "guild 1"})
    pauses = []
    while job.state == Job.State.WAITING:
        clock.move_to(job.run_after)
        assert run_all() == 1
        job.refresh_from_db()
        if job.state == Job.State.WAITING:
            clock.shift(job.run_after - datetime.now(UTC) - timedelta(seconds=1))
            assert run_all() == 0
            pauses.append(job.run_after - NIGHT)
    assert [pause.total_seconds() for pause in pauses] == [30, 150, 630, 2550]
    assert (job.state, job.attempts) == (Job.State.FAILED, 5)
    assert job.error == "ValueError: the hop store is on fire"
    assert (job.finished_at, job.lease_until) == (NIGHT + pauses[-1], None)
    clock.shift(timedelta(days=1))
    assert (run_all(), Group.objects.filter(name="left behind").count()) == (0, 0)


def test_a_job_that_fails_once_is_done_the_second_time(clock, job_that):
    answers = iter([ValueError("not yet")])

    def reluctant() -> str:
        for answer in answers:
            raise answer
        return "now"

    job = enqueue(job_that(reluctant))
    run_all()
    clock.shift(jobs.FIRST_PAUSE)
    run_all()
    job.refresh_from_db()
    assert (job.state, job.attempts, job.result, job.error) == (Job.State.DONE, 2, "now", "")


def test_an_error_is_kept_whatever_it_says(clock, job_that):
    def complain() -> None:
        raise ValueError("\0" + "x" * 3 * jobs.LONGEST_ERROR)

    job = enqueue(job_that(complain))
    run_all()
    job.refresh_from_db()
    assert job.error.startswith("ValueError: \N{REPLACEMENT CHARACTER}xx")
    assert len(job.error) == jobs.LONGEST_ERROR


def test_a_job_whose_runners_all_died_has_failed(clock, job_that, settings):
    job = enqueue(job_that(found_a_guild), {"name": "guild 1"})
    for _ in range(jobs.MOST_ATTEMPTS):
        assert claim(job.pk) is not None
        clock.shift(settings.JOBS_LEASE)
    run_all()
    job.refresh_from_db()
    assert (job.state, job.error, guilds()) == (Job.State.FAILED, jobs.RUNNERS_DIED, [])


def test_a_job_of_an_unknown_name_waits_for_a_worker_that_knows_it(clock):
    job = enqueue("brew_more_beer")
    run_all()
    job.refresh_from_db()
    assert (job.state, job.error) == (Job.State.WAITING, "UnknownJob: There is no job called 'brew_more_beer'.")


def test_a_job_that_only_reads_runs_outside_a_transaction_of_its_own(clock, job_that):
    def depth() -> int:
        return len(transaction.get_connection().savepoint_ids)

    reading, writing = enqueue(job_that(depth, writes=False)), enqueue(job_that(depth))
    run_all()
    reading.refresh_from_db()
    writing.refresh_from_db()
    assert writing.result == reading.result + 1


def test_a_job_for_later_waits_until_then(clock, job_that):
    enqueue(job_that(found_a_guild), {"name": "guild 1"}, run_after=NIGHT + timedelta(hours=1))
    assert run_all() == 0
    clock.shift(timedelta(hours=1))
    assert run_all() == 1


def test_the_lag_is_that_of_the_most_belated_job(clock, job_that, settings):
    name = job_that(found_a_guild)
    assert lag() == timedelta()
    enqueue(name, {"name": "guild 1"}, run_after=NIGHT + timedelta(minutes=5))
    assert lag() == timedelta()
    enqueue(name, {"name": "guild 2"})
    clock.shift(timedelta(minutes=4))
    assert lag() == timedelta(minutes=4)
    run_all()
    abandoned = claim(enqueue(name, {"name": "guild 3"}).pk)
    clock.shift(settings.JOBS_LEASE + timedelta(minutes=7))
    assert (abandoned.attempts, lag()) == (1, settings.JOBS_LEASE + timedelta(minutes=6))


def test_no_name_is_given_to_two_jobs(job_that):
    name = job_that(found_a_guild)
    with pytest.raises(ValueError, match=f"Two jobs are called '{name}'"):
        registry.job(name)(fail)


@pytest.mark.parametrize(
    ("rule", "wrong"),
    [
        ("a_job_is_leased_while_it_runs", {"state": "running"}),
        ("a_job_is_leased_while_it_runs", {"lease_until": NIGHT}),
        ("a_job_that_is_over_says_since_when", {"state": "done"}),
        ("a_job_that_is_over_says_since_when", {"finished_at": NIGHT}),
        ("a_job_that_failed_says_why", {"state": "failed", "finished_at": NIGHT}),
    ],
)
def test_the_database_refuses_a_job_in_a_state_that_cannot_be(rule: str, wrong: dict[str, object]):
    job = enqueue("anything")
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        Job.objects.filter(pk=job.pk).update(**wrong)


class Bells(list):
    """A broker that notes what it was told."""

    def __call__(self, task: str, args: list[int], **options: object) -> None:
        self.append((task, *args))


@pytest.fixture
def bells(monkeypatch, settings) -> Bells:
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    heard = Bells()
    monkeypatch.setattr(current_app, "send_task", heard)
    return heard


def test_a_worker_is_told_of_a_job_when_it_is_committed(bells, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        job = enqueue("anything")
        enqueue("later", run_after=datetime.now(UTC) + timedelta(hours=1))
        assert bells == []
    assert bells == [(jobs.RUN_JOB, job.pk)]


def test_without_redis_nobody_is_told(bells, settings, django_capture_on_commit_callbacks):
    settings.REDIS_URL = ""
    with django_capture_on_commit_callbacks(execute=True):
        enqueue("anything")
    assert bells == []


@pytest.mark.django_db(transaction=True)
def test_a_redis_that_does_not_answer_loses_no_job(settings):
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    assert enqueue("anything").state == Job.State.WAITING
    assert Job.objects.get().name == "anything"


def test_a_sweep_rings_for_every_job_that_can_run(clock, bells, settings):
    waiting, running = enqueue("one"), enqueue("two")
    enqueue("three", run_after=NIGHT + timedelta(hours=1))
    claim(running.pk)
    sweep()
    assert bells == [(jobs.RUN_JOB, waiting.pk)]
    clock.shift(settings.JOBS_LEASE)
    sweep()
    assert bells[1:] == [(jobs.RUN_JOB, waiting.pk), (jobs.RUN_JOB, running.pk)]


def test_every_thread_of_the_web_process_rings_the_same_bells():
    found = []
    thread = Thread(target=lambda: found.append(current_app.main))
    thread.start()
    thread.join()
    assert found == ["grainward"]


@pytest.mark.django_db(transaction=True)
def test_the_loop_stops_after_the_job_that_was_under_way(job_that):
    stop = Event()

    def stopping(name: str) -> str:
        stop.set()
        return found_a_guild(name)

    name = job_that(stopping)
    enqueue(name, {"name": "guild 1"})
    enqueue(name, {"name": "guild 2"})
    run_until(stop)
    assert guilds() == ["guild 1"]
    assert [job.state for job in Job.objects.order_by("pk")] == [Job.State.DONE, Job.State.WAITING]


@pytest.mark.django_db(transaction=True)
def test_the_loop_outlives_a_database_that_is_away_for_a_while(job_that, monkeypatch):
    stop, tries = Event(), []

    def away_at_first(told: Event) -> int:
        tries.append(told)
        if len(tries) == 1:
            raise OperationalError("the connection was closed")
        stop.set()
        return run_what_is_due(told)

    monkeypatch.setattr(loop, "LOOK_EVERY_S", 0)
    monkeypatch.setattr(loop, "run_what_is_due", away_at_first)
    run_until(stop)
    assert tries == [stop, stop]
