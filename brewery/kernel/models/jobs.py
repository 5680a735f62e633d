"""Jobs: work that is done later, beside the web process. This table is the queue."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models


class Job(models.Model):
    """One piece of work, written in the transaction that asks for it: so it waits if and only if that happened.

    A runner takes it at `taken_at`, for a while (`lease_until`); when the runner dies, another takes it after that.
    `attempts` counts how often it was taken, and tells one runner's hold on it from another's.
    """

    class State(models.TextChoices):
        """How far a job has come."""

        WAITING = "waiting"
        RUNNING = "running"
        DONE = "done"
        FAILED = "failed"

    name = models.CharField(max_length=60)
    arguments = models.JSONField(default=dict, encoder=DjangoJSONEncoder)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    run_after = models.DateTimeField()
    lease_until = models.DateTimeField(null=True)
    created_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)
    result = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    error = models.TextField(default="", blank=True)

    class Meta:
        ordering = ("-id",)
        indexes = [
            models.Index(fields=["state", "run_after"], name="job_state_run_after"),
            models.Index(fields=["state", "lease_until"], name="job_state_lease_until"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state="running", lease_until__isnull=False)
                | (~models.Q(state="running") & models.Q(lease_until__isnull=True)),
                name="a_job_is_leased_while_it_runs",
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=["done", "failed"], finished_at__isnull=False)
                | models.Q(state__in=["waiting", "running"], finished_at__isnull=True),
                name="a_job_that_is_over_says_since_when",
            ),
            models.CheckConstraint(condition=~models.Q(state="failed", error=""), name="a_job_that_failed_says_why"),
        ]

    def __str__(self) -> str:
        return f"job {self.pk} {self.name}"


class ScheduleMark(models.Model):
    """When a job of the schedule was last enqueued, so that each of its times is enqueued once."""

    name = models.CharField(max_length=60, unique=True)
    last_run_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.name} at {self.last_run_at:%Y-%m-%d %H:%M}"
