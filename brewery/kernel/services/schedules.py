"""The schedule: jobs that the clock asks for, once a day or every so often."""

import datetime as dt
from collections.abc import Collection, Mapping

from django.db import transaction

from brewery.kernel.clock import brewery_zone, now
from brewery.kernel.models import Job, ScheduleMark
from brewery.kernel.services.jobs import enqueue

Due = dt.time | dt.timedelta
"""A time of each day by the brewery's clock, or the length of an interval; intervals are counted from 1970 in UTC."""

_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


def latest_due(due: Due, moment: dt.datetime) -> dt.datetime:
    """Return the last time up to `moment` at which something was due, in UTC.

    Every day has one such time: an hour that the clock skips counts as the hour after it, one that it shows twice
    counts the first time.
    """
    return moment - (moment - _EPOCH) % due if isinstance(due, dt.timedelta) else _latest_of_days(due, moment)


def next_due(due: Due, moment: dt.datetime) -> dt.datetime:
    """Return the first time after `moment` at which something is due, in UTC."""
    if isinstance(due, dt.timedelta):
        return latest_due(due, moment) + due
    today = moment.astimezone(brewery_zone()).date()
    return next(at for days in range(3) if (at := _on(today + dt.timedelta(days=days), due)) > moment)


def _latest_of_days(at: dt.time, moment: dt.datetime) -> dt.datetime:
    today = moment.astimezone(brewery_zone()).date()
    due = _on(today, at)
    return due if due <= moment else _on(today - dt.timedelta(days=1), at)


def _on(day: dt.date, at: dt.time) -> dt.datetime:
    return dt.datetime.combine(day, at, brewery_zone()).astimezone(dt.UTC)


def enqueue_due(schedule: Mapping[str, Due]) -> list[Job]:
    """Every job of the schedule, by name, that was due since it was last enqueued is enqueued, once however many ask.

    Times that nobody was there for are made good by one run; a job that is new to the schedule waits for its time.
    What is due every so often does not queue up behind itself.
    """
    moment = now()
    marks = ScheduleMark.objects.in_bulk(list(schedule), field_name="name")
    for name in schedule.keys() - marks.keys():
        ScheduleMark.objects.get_or_create(name=name, defaults={"last_run_at": moment})
    due = [mark for name, mark in marks.items() if mark.last_run_at < latest_due(schedule[name], moment)]
    waits = _waiting([mark.name for mark in due if isinstance(schedule[mark.name], dt.timedelta)])
    return [job for mark in due if mark.name not in waits and (job := _enqueue_once(mark, moment))]


def _waiting(names: Collection[str]) -> set[str]:
    waiting = Job.objects.filter(name__in=names, state=Job.State.WAITING) if names else Job.objects.none()
    return set(waiting.values_list("name", flat=True))


@transaction.atomic
def _enqueue_once(mark: ScheduleMark, moment: dt.datetime) -> Job | None:
    unchanged = ScheduleMark.objects.filter(pk=mark.pk, last_run_at=mark.last_run_at)
    return enqueue(mark.name) if unchanged.update(last_run_at=moment) else None
