"""Which jobs can run now, and how late they are."""

from datetime import timedelta

from django.db.models import Min, Q, QuerySet

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
