"""Brews."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityShown
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.production.api.codes import SheetField
from brewery.production.api.volumes import volume
from brewery.production.api.work import WorkAnswer, WorkAsked, WorkFilters
from brewery.production.models import Brew
from brewery.production.queries.work import brews_with_contents
from brewery.production.services.work import start_brew
from brewery.science.units import BaseUnit


class BrewAnswer(WorkAnswer):
    """A brew, with the number of the sheet that it is brewed by and the wort that is to come of it, where said."""

    sheet = serializers.IntegerField(source="sheet_id", allow_null=True)
    cold_wort = QuantityShown("cold_wort_micro", BaseUnit.L, allow_null=True)


class BrewAsked(WorkAsked):
    """A brew to start: by a sheet, for as much wort at 20 °C as the sheet says, unless another volume is given."""

    sheet = SheetField(required=False)
    cold_wort = volume(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read, with `cold_wort_micro`."""
        wort = attrs.pop("cold_wort", None)
        return {**attrs, "cold_wort_micro": wort.micro} if wort else attrs


class BrewFilters(WorkFilters):
    """Narrows the list of brews."""

    class Meta:
        model = Brew
        fields: tuple[str, ...] = ()


class Brews(RecordList, Recording[Brew]):
    """Brews, the last entered first; POST starts one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.BREW}
    queryset = brews_with_contents()
    serializer_class = answered = BrewAnswer
    asked = BrewAsked
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
    serializer_class = BrewAnswer
    lookup_field = "code"
    thing: ClassVar[str] = "brew"
