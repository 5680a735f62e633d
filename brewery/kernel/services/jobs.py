"""Enqueuing jobs, and running each exactly once as far as the database can tell.

A job's effect and the mark that it is done are one transaction. So a runner that dies in the middle leaves nothing
but its lease, and one that lost its lease to another cannot mark the job done and takes its effect back.
"""

import logging
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, nullcontext
from datetime import datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from celery import current_app
from django.conf import settings
from django.db import transaction
from django.db.models import Max

from brewery.kernel.clock import now
from brewery.kernel.models import Job, User
from brewery.kernel.queries.jobs import runnable
from brewery.kernel.services.requests import once

RUN_JOB, SWEEP = "brewery.kernel.jobs.run_job", "brewery.kernel.jobs.sweep"
MOST_ATTEMPTS = 5
FIRST_PAUSE = timedelta(seconds=30)
LONGER_EACH_TIME = 4
LONGEST_ERROR = 2_000
RUNNERS_DIED = "Each of its runners ended in the middle of it."

logger = logging.getLogger(__name__)


class LeaseLost(Exception):
    """Another runner took the job meanwhile, so this one's work must not count."""


def enqueue(name: str, arguments: Mapping[str, Any] | None = None, *, run_after: datetime | None = None) -> Job:
    """The job waits, if and only if the caller's transaction commits; where there is Redis, a worker is told then.

    `arguments` are ids and plain values that JSON can hold.
    """
    moment = now()
    job = Job.objects.create(
        name=name, arguments=dict(arguments or {}), run_after=run_after or moment, created_at=moment
    )
    if job.run_after <= moment:
        transaction.on_commit(partial(ring, job.pk), robust=True)
    return job


def enqueue_soon(name: str, arguments: Mapping[str, Any], within: timedelta) -> None:
    """The job runs within that time, once for all who ask meanwhile, if the caller's transaction commits.

    It begins after the commit of everybody who counts on it: whose transaction lasted so long that it began before
    asks again after the commit. Of two whose transactions overlap neither sees the other's, and both have one.
    """
    moment = now()
    job = _waiting(name, arguments, moment + within / 2)
    if job is None:
        job = enqueue(name, arguments, run_after=moment + within)
        transaction.on_commit(partial(ring, job.pk, after=within), robust=True)
    transaction.on_commit(partial(_ask_again_if_begun, job), robust=True)


def _waiting(name: str, arguments: Mapping[str, Any], earliest: datetime) -> Job | None:
    fresh = Job.objects.filter(state=Job.State.WAITING, run_after__gte=earliest, attempts=0)
    return fresh.filter(name=name, arguments=dict(arguments)).first()


def _ask_again_if_begun(job: Job) -> None:
    is_time = job.run_after <= now()
    if is_time and not Job.objects.filter(pk=job.pk, state=Job.State.WAITING).exists():
        enqueue(job.name, job.arguments)


def ring(job_id: int, *, after: timedelta = timedelta()) -> None:
    """A worker is told of the job, to begin after that time.

    A ring that gets lost does no harm: the next sweep rings again.
    """
    if settings.REDIS_URL:
        wait = max(after, timedelta())
        expires = (wait + settings.JOBS_SWEEP_EVERY).total_seconds()
        current_app.send_task(
            RUN_JOB, args=[job_id], countdown=wait.total_seconds() or None, expires=expires, retry=False
        )


def claim(job_id: int) -> Job | None:
    """The job is the caller's to run until its lease ends; None where it is done, not due, or somebody else's.

    A job whose runners died too often is failed instead.
    """
    job = runnable().filter(pk=job_id).first()
    if job is None:
        return None
    if job.attempts >= MOST_ATTEMPTS:
        _move(job, state=Job.State.FAILED, lease_until=None, finished_at=now(), error=RUNNERS_DIED)
        return None
    taken_at, attempts = now(), job.attempts + 1
    lease_until = taken_at + settings.JOBS_LEASE
    if not _move(job, state=Job.State.RUNNING, taken_at=taken_at, lease_until=lease_until, attempts=attempts):
        return None
    job.state, job.lease_until, job.attempts = Job.State.RUNNING, lease_until, attempts
    return job


def run(job: Job, work: Callable[..., Any], *, writes: bool = True) -> None:
    """The claimed job is done with what `work` returned as its result; or, if it raised, waits again or has failed.

    Nothing of it counts where the lease went to another runner. Work that only reads (`writes` False) runs outside
    a transaction, because on SQLite one would keep every writer out.
    """
    held: AbstractContextManager[Any] = transaction.atomic() if writes else nullcontext()
    try:
        with held:
            result = work(**job.arguments)
            if not _move(job, state=Job.State.DONE, lease_until=None, finished_at=now(), result=result, error=""):
                raise LeaseLost
    except LeaseLost:
        logger.warning("%s: another runner has it, what was done here is taken back", job)
    except Exception as error:
        logger.exception("%s: attempt %d failed", job, job.attempts)
        _put_back(job, _in_words(error))


@once("ask_for_job", returns=Job)
def ask_for_job(*, name: str, arguments: Mapping[str, Any], actor: User, request_id: UUID) -> Job:
    """The job waits for its turn, with the arguments of an earlier one; where the same waits already, that one does.

    `actor` and `request_id` are those of the person who asks.
    """
    waiting = Job.objects.filter(name=name, arguments=dict(arguments), state=Job.State.WAITING).first()
    return waiting or enqueue(name, arguments)


def prune_jobs(before: datetime) -> int:
    """Jobs that were done before that moment are gone, but for the last of each name; return how many went."""
    last = Job.objects.filter(state=Job.State.DONE).values("name").annotate(last=Max("pk")).values("last")
    kept = [row["last"] for row in last]
    return Job.objects.filter(state=Job.State.DONE, finished_at__lt=before).exclude(pk__in=kept).delete()[0]


def _in_words(error: Exception) -> str:
    """Return the error as the database can hold it: PostgreSQL's texts have no place for NUL."""
    return f"{type(error).__name__}: {error}".replace("\0", "\N{REPLACEMENT CHARACTER}")[:LONGEST_ERROR]


def _put_back(job: Job, error: str) -> None:
    moment = now()
    if job.attempts >= MOST_ATTEMPTS:
        _move(job, state=Job.State.FAILED, lease_until=None, finished_at=moment, error=error)
        return
    pause = FIRST_PAUSE * LONGER_EACH_TIME ** (job.attempts - 1)
    _move(job, state=Job.State.WAITING, lease_until=None, run_after=moment + pause, error=error)


def _move(job: Job, **changes: Any) -> bool:
    """Change the row unless somebody else did so since `job` was read; return whether it was changed."""
    unchanged = Job.objects.filter(pk=job.pk, state=job.state, attempts=job.attempts, lease_until=job.lease_until)
    return bool(unchanged.update(**changes))
