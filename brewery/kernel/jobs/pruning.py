"""What was done long ago is forgotten, so that the table of jobs stays short."""

from datetime import time
from typing import Any

from django.conf import settings

from brewery.kernel.clock import now
from brewery.kernel.services import jobs
from brewery.kernel.services.job_registry import job


@job("prune_jobs", daily_at=time(4, 0))
def prune_jobs() -> dict[str, Any]:
    """Return how many jobs that were done are forgotten now."""
    return {"forgotten": jobs.prune_jobs(now() - settings.JOBS_KEPT_FOR)}
