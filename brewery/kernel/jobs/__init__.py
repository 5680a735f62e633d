"""The doors of the job table: what a Celery worker calls, and the loop that stands in for it without Redis."""

from brewery.kernel.jobs import pruning, seals, tasks

__all__ = ["pruning", "seals", "tasks"]
