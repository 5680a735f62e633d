"""What a worker does when a bell rings. The table says what there is to do: a bell too many or too few does no harm."""

from celery import shared_task

from brewery.kernel.queries.jobs import runnable_ids
from brewery.kernel.services import job_registry as registry
from brewery.kernel.services import jobs
from brewery.kernel.services.schedules import enqueue_due

MOST_BELLS = 200


@shared_task(name=jobs.RUN_JOB)  # type: ignore[untyped-decorator]
def run_job(job_id: int) -> None:
    """The job has had its turn, if it could be claimed."""
    job = jobs.claim(job_id)
    if job is not None:
        function = registry.find(job.name)
        jobs.run(job, function.work, writes=function.writes)


@shared_task(name=jobs.SWEEP)  # type: ignore[untyped-decorator]
def sweep() -> None:
    """What the clock asks for is enqueued, and every job that can run is rung for, the oldest first."""
    waiting = runnable_ids(MOST_BELLS)  # first, because what is enqueued rings for itself
    enqueue_due(registry.schedule())
    for job_id in waiting:
        jobs.ring(job_id)
