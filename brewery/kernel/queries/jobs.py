"""Which jobs can run now, and how late they are."""

from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Count, Max, Min, Q, QuerySet

from brewery.kernel.clock import now
from brewery.kernel.models import Job


def runnable() -> QuerySet[Job]:
    """Return the jobs that a runner may take now: those whose time has come, and those whose runner is gone."""
    moment = now()
    waiting = Q(state=Job.State.WAITING, run_after__lte=moment)
    return Job.objects.filter(waiting | Q(state=Job.State.RUNNING, lease_until__lte=moment))


def runnable_ids(limit: int) -> list[int]:
    """Return the ids of at most `limit` jobs that can run now, the oldest first."""
    return list(runnable().order_by("pk").values_list("pk", flat=True)[:limit])


def lag() -> timedelta:
    """Return for how long the most belated job could have run already; zero where none waits."""
    found = runnable().aggregate(waiting=Min("run_after", filter=Q(state=Job.State.WAITING)), left=Min("lease_until"))
    since = [moment for moment in (found["waiting"], found["left"]) if moment]
    return now() - min(since) if since else timedelta()


@dataclass(frozen=True)
class JobHistory:
    """How jobs of one name fared: the last that is over, and how many wait and run."""

    name: str
    last: Job | None
    waiting: int
    running: int

    @property
    def has_failed(self) -> bool:
        """Whether the last of them failed for good."""
        return self.last is not None and self.last.state == Job.State.FAILED

    @property
    def took(self) -> timedelta | None:
        """How long the last took, from when it was taken."""
        if self.last is None or self.last.taken_at is None or self.last.finished_at is None:
            return None
        return self.last.finished_at - self.last.taken_at


def histories() -> dict[str, JobHistory]:
    """Return how jobs fared, by name; two statements however many."""
    counted = Job.objects.order_by("name").values("name")
    rows = list(
        counted.annotate(
            last=Max("pk", filter=Q(state__in=[Job.State.DONE, Job.State.FAILED])),
            waiting=Count("pk", filter=Q(state=Job.State.WAITING)),
            running=Count("pk", filter=Q(state=Job.State.RUNNING)),
        )
    )
    last = Job.objects.in_bulk([row["last"] for row in rows if row["last"]])
    return {row["name"]: JobHistory(row["name"], last.get(row["last"]), row["waiting"], row["running"]) for row in rows}
