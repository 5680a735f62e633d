"""The doors of the job table: what a Celery worker calls, and the loop that stands in for it without Redis."""

from brewery.kernel.jobs import seals, tasks

__all__ = ["seals", "tasks"]
