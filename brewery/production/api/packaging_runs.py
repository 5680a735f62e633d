"""Packaging runs."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.production.api.work import WorkAnswer, WorkAsked, WorkFilters
from brewery.production.models import PackagingRun
from brewery.production.queries.work import runs_with_contents
from brewery.production.services.work import start_packaging_run


class RunFilters(WorkFilters):
    """Narrows the list of packaging runs."""

    class Meta:
        model = PackagingRun
        fields: tuple[str, ...] = ()


class PackagingRuns(RecordList, Recording[PackagingRun]):
    """Packaging runs, the last entered first; POST starts one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.PACKAGE}
    queryset = runs_with_contents()
    serializer_class = answered = WorkAnswer
    asked = WorkAsked
    filterset_class = RunFilters

    def record(self, **asked: Any) -> PackagingRun:
        """Start it."""
        return start_packaging_run(**asked)

    def in_full(self, made: PackagingRun) -> PackagingRun:
        """Return the run with what it holds."""
        return runs_with_contents().get(pk=made.pk)


class OnePackagingRun(RecordDetail):
    """One packaging run by its code."""

    queryset = runs_with_contents()
    serializer_class = WorkAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "packaging run"
