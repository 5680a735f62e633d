"""Jobs: when each kind ran last and how it fared, when it is due next, and what failed."""

from dataclasses import dataclass
from datetime import datetime, time
from typing import Any, ClassVar

from django import forms
from django.conf import settings
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.models import Job
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.kernel.queries.jobs import JobHistory, histories, lag
from brewery.kernel.services.job_registry import schedule
from brewery.kernel.services.jobs import ask_for_job
from brewery.kernel.services.schedules import Due, next_due

MOST_SHOWN = 50


@dataclass(frozen=True)
class JobKind:
    """One kind of job: when the clock asks for it, and how it fared."""

    name: str
    due: Due | None
    history: JobHistory | None
    next_at: datetime | None

    @property
    def when(self) -> str:
        """When the clock asks for it, in words."""
        if self.due is None:
            return "when something asks for it"
        if isinstance(self.due, time):
            return f"daily at {self.due:%H:%M}"
        return f"every {int(self.due.total_seconds() // 60)} min"

    @property
    def took(self) -> str:
        """How long the last one took."""
        took = self.history.took if self.history else None
        return "" if took is None else f"{took.total_seconds():.1f} s"


def job_kinds(moment: datetime) -> list[JobKind]:
    """Return the kinds of job that are scheduled or were ever asked for, by name."""
    due, fared = schedule(), histories()
    return [
        JobKind(name, due.get(name), fared.get(name), next_due(due[name], moment) if name in due else None)
        for name in sorted(due.keys() | fared.keys())
    ]


class AgainForm(WritingForm):
    """Which job is to run: one that failed, or the next of a kind."""

    job = forms.ModelChoiceField(queryset=Job.objects.filter(state=Job.State.FAILED), required=False)
    name = forms.CharField(max_length=60, required=False)

    def clean(self) -> dict[str, Any]:
        """Return what is to run. Adds what is missing."""
        read = super().clean() or {}
        if not read.get("job") and read.get("name") not in schedule():
            raise forms.ValidationError("Choose one of the jobs on this page.")
        return read


class JobsPage(FormPage):
    """The kinds of job, and what failed; POST asks for one to run now."""

    right: ClassVar[Right] = Right.TEND_JOBS
    write_right: ClassVar[Right] = Right.TEND_JOBS
    template_name = "shell/jobs.html"
    form_class = AgainForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        failed = Job.objects.filter(state=Job.State.FAILED)[:MOST_SHOWN]
        return super().get_context_data(
            **kwargs, kinds=job_kinds(now()), failed=failed, is_late=lag() > settings.JOBS_LATE_AFTER
        )

    def write(self, form: Any) -> str:
        """Ask for it."""
        asked = form.cleaned_data
        job = asked["job"]
        ask_for_job(
            name=job.name if job else asked["name"],
            arguments=job.arguments if job else {},
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, "It waits for its turn.")
        return reverse("jobs")
