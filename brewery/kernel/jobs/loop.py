"""Worker and beat in one process, without a broker: it looks into the table instead of waiting for a bell."""

import logging
from threading import Event

from django.db import InterfaceError, OperationalError, close_old_connections

from brewery.kernel.jobs.tasks import run_job
from brewery.kernel.queries.jobs import runnable_ids
from brewery.kernel.services import job_registry as registry
from brewery.kernel.services.schedules import enqueue_due

LOOK_EVERY_S = 1.0
MOST_AT_ONCE = 100

logger = logging.getLogger(__name__)


def run_until(stop: Event) -> None:
    """Jobs were run as they came due until `stop` was set; the one under way then was finished first.

    A database that cannot be reached or is busy for too long is tried again; what was claimed comes back by its lease.
    """
    while not stop.is_set():
        close_old_connections()
        try:
            run_what_is_due(stop)
        except (OperationalError, InterfaceError):
            logger.exception("the job table cannot be used now")
        stop.wait(LOOK_EVERY_S)


def run_what_is_due(stop: Event) -> int:
    """What the clock asks for is enqueued, every job that can run had its turn; return how many that were."""
    enqueue_due(registry.schedule())
    ran = 0
    while not stop.is_set() and (job_ids := runnable_ids(MOST_AT_ONCE)):
        for job_id in job_ids:
            if stop.is_set():
                break
            run_job(job_id)
            ran += 1
    return ran
