"""Jobs over the API: what waits, runs, was done and failed, and asking for one now."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.models import Job
from brewery.kernel.services.job_registry import schedule
from brewery.kernel.services.jobs import ask_for_job


class JobAnswer(serializers.ModelSerializer[Job]):
    """One piece of work, and how far it has come."""

    state = serializers.CharField()
    result = serializers.JSONField(allow_null=True)

    class Meta:
        model = Job
        fields = ("id", "name", "state", "attempts", "created_at", "taken_at", "finished_at", "result", "error")


class JobAsked(serializers.Serializer[Any]):
    """Which job of the schedule is to run now."""

    name = serializers.CharField(max_length=60)

    def validate_name(self, name: str) -> str:
        """Return the name. Raises ValidationError for one that is not on the schedule."""
        if name not in schedule():
            raise serializers.ValidationError(f"Write one of: {', '.join(sorted(schedule()))}.")
        return name


class JobFilters(django_filters.FilterSet):
    """Narrows the list."""

    name = django_filters.CharFilter()
    state = django_filters.ChoiceFilter(choices=Job.State.choices)

    class Meta:
        model = Job
        fields: tuple[str, ...] = ()


class Jobs(RecordList, Recording[Job]):
    """Jobs, the newest first; POST asks for one of the schedule now."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.AUDIT, "POST": Right.TEND_JOBS}
    queryset = Job.objects.all()
    serializer_class = answered = JobAnswer
    asked = JobAsked
    filterset_class = JobFilters

    def record(self, **asked: Any) -> Job:
        """Ask for it."""
        return ask_for_job(arguments={}, **asked)
