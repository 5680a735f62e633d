"""Brews."""

from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.production.api.work import WorkAnswer, WorkAsked, WorkFilters
from brewery.production.models import Brew
from brewery.production.queries.work import brews_with_contents
from brewery.production.services.work import start_brew


class BrewFilters(WorkFilters):
    """Narrows the list of brews."""

    class Meta:
        model = Brew
        fields: tuple[str, ...] = ()


class Brews(RecordList, Recording[Brew]):
    """Brews, the last entered first; POST starts one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.BREW}
    queryset = brews_with_contents()
    serializer_class = answered = WorkAnswer
    asked = WorkAsked
    filterset_class = BrewFilters

    def record(self, **asked: Any) -> Brew:
        """Start it."""
        return start_brew(**asked)

    def in_full(self, made: Brew) -> Brew:
        """Return the brew with what it holds."""
        return brews_with_contents().get(pk=made.pk)


class OneBrew(RecordDetail):
    """One brew by its code."""

    queryset = brews_with_contents()
    serializer_class = WorkAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "brew"
