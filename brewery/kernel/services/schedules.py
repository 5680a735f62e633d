"""The daily schedule: jobs that the clock asks for."""

import datetime as dt
from collections.abc import Mapping

from django.db import transaction

from brewery.kernel.clock import brewery_zone, now
from brewery.kernel.models import Job, ScheduleMark
from brewery.kernel.services.jobs import enqueue


def latest_due(at: dt.time, moment: dt.datetime) -> dt.datetime:
    """Return the last time up to `moment` at which the brewery's clock showed `at`, in UTC.

    Every day has one such time: an hour that the clock skips counts as the hour after it, one that it shows twice
    counts the first time.
    """
    today = moment.astimezone(brewery_zone()).date()
    due = _on(today, at)
    return due if due <= moment else _on(today - dt.timedelta(days=1), at)


def _on(day: dt.date, at: dt.time) -> dt.datetime:
    return dt.datetime.combine(day, at, brewery_zone()).astimezone(dt.UTC)


def enqueue_due(daily: Mapping[str, dt.time]) -> list[Job]:
    """Every job of `daily`, by name, that was due since it was last enqueued is enqueued, once however many ask.

    Days that nobody was there for are made good by one run; a job that is new to the schedule waits for its time.
    """
    moment = now()
    marks = ScheduleMark.objects.in_bulk(list(daily), field_name="name")
    for name in daily.keys() - marks.keys():
        ScheduleMark.objects.get_or_create(name=name, defaults={"last_run_at": moment})
    due = [mark for name, mark in marks.items() if mark.last_run_at < latest_due(daily[name], moment)]
    return [job for mark in due if (job := _enqueue_once(mark, moment))]


@transaction.atomic
def _enqueue_once(mark: ScheduleMark, moment: dt.datetime) -> Job | None:
    unchanged = ScheduleMark.objects.filter(pk=mark.pk, last_run_at=mark.last_run_at)
    return enqueue(mark.name) if unchanged.update(last_run_at=moment) else None
