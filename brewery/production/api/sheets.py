"""Brew sheets: written, changed, put in use, withdrawn, copied; who changes one says which revision was seen."""

from typing import Any, ClassVar
from uuid import UUID

import django_filters
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.versions import Versioned, version_of
from brewery.kernel.api.views import Changing, RecordDetail, Recording, RecordList
from brewery.kernel.errors import NotFound
from brewery.kernel.models import User
from brewery.production.api.sheet_fields import BrewSheetAsked, BrewSheetChanges, ContentAnswer
from brewery.production.models import BrewSheet
from brewery.production.queries.sheet_contents import SheetContent
from brewery.production.queries.sheets import sheet_of, sheets_in_full
from brewery.production.services.sheets import (
    change_sheet,
    copy_sheet,
    discard_sheet,
    put_sheet_in_use,
    withdraw_sheet,
    write_sheet,
)
from inventory.api.codes import MaterialField


class BrewSheetAnswer(ContentAnswer):
    """A brew sheet with all that it says. `id` is its number, `revision` grows with each change of a draft."""

    id = serializers.IntegerField()
    beer = serializers.CharField(source="beer.code")
    version = serializers.IntegerField()
    state = serializers.ChoiceField(choices=BrewSheet.State.choices)
    revision = serializers.IntegerField()
    written_by = serializers.CharField(source="written_by.username")
    written_at = serializers.DateTimeField()
    put_in_use_at = serializers.DateTimeField(allow_null=True)


class SheetFilters(django_filters.FilterSet):
    """Narrows the list of sheets."""

    beer = CodeFilter(field_name="beer__code")
    state = django_filters.ChoiceFilter(choices=BrewSheet.State.choices)

    class Meta:
        model = BrewSheet
        fields: tuple[str, ...] = ()


class CopyAsked(serializers.Serializer[Any]):
    """For which beer, where it is another one."""

    beer = MaterialField(required=False)


class NothingMore(serializers.Serializer[Any]):
    """The address and the headers say it all: the body is an empty object."""


class SheetShown(Versioned):
    """A view whose answer is a sheet, with its revision as ETag."""

    kwargs: dict[str, Any]

    def in_full(self, made: BrewSheet) -> BrewSheet:
        """Return the sheet as it is now."""
        fresh = sheets_in_full().get(pk=made.pk)
        self.shown_version = fresh.revision
        return fresh

    def sheet(self) -> BrewSheet:
        """Return the sheet that the address names. Raises NotFound."""
        return named_sheet(self.kwargs["pk"])


class BrewSheets(SheetShown, RecordList, Recording[BrewSheet]):
    """Brew sheets, the last written first; POST writes a draft of a beer's next version."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.BREW}
    queryset = sheets_in_full()
    serializer_class = answered = BrewSheetAnswer
    asked = BrewSheetAsked
    filterset_class = SheetFilters

    def record(self, **asked: Any) -> BrewSheet:
        """Write it."""
        by = {name: asked.pop(name) for name in ("beer", "actor", "request_id")}
        return write_sheet(content=SheetContent(**asked), **by)


class OneBrewSheet(SheetShown, RecordDetail, Changing[BrewSheet]):
    """One brew sheet by its number; PATCH changes a draft."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "PATCH": Right.BREW}
    queryset = sheets_in_full()
    serializer_class = answered = BrewSheetAnswer
    changed = BrewSheetChanges
    lookup_field = "pk"
    thing: ClassVar[str] = "brew sheet"
    needs_version: ClassVar[tuple[str, ...]] = ("PATCH",)

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Show it."""
        sheet: BrewSheet = self.get_object()
        self.shown_version = sheet.revision
        return Response(self.get_serializer(sheet).data)

    def change(self, *, changes: dict[str, Any], actor: User, request_id: UUID) -> BrewSheet:
        """Change it, unless somebody changed it since the revision that was seen."""
        return change_sheet(
            sheet=self.sheet(), revision=version_of(self.request), changes=changes, actor=actor, request_id=request_id
        )


class SheetUses(SheetShown, Recording[BrewSheet]):
    """POST: put a draft in use, as of the revision that was seen; all that is missing is told."""

    right: ClassVar[Right] = Right.BREW
    asked = NothingMore
    answered = BrewSheetAnswer
    queryset = sheets_in_full()
    needs_version: ClassVar[tuple[str, ...]] = ("POST",)

    def record(self, **asked: Any) -> BrewSheet:
        """Put it in use."""
        return put_sheet_in_use(sheet=self.sheet(), revision=version_of(self.request), **asked)


class SheetDiscards(SheetShown, Recording[BrewSheet]):
    """POST: put a draft away, as of the revision that was seen; it stays on record as discarded."""

    right: ClassVar[Right] = Right.BREW
    asked = NothingMore
    answered = BrewSheetAnswer
    queryset = sheets_in_full()
    needs_version: ClassVar[tuple[str, ...]] = ("POST",)

    def record(self, **asked: Any) -> BrewSheet:
        """Discard it."""
        return discard_sheet(sheet=self.sheet(), revision=version_of(self.request), **asked)


class SheetWithdrawals(SheetShown, Recording[BrewSheet]):
    """POST: withdraw a sheet that is in use; nothing new is brewed by it."""

    right: ClassVar[Right] = Right.BREW
    asked = NothingMore
    answered = BrewSheetAnswer
    queryset = sheets_in_full()

    def record(self, **asked: Any) -> BrewSheet:
        """Withdraw it."""
        return withdraw_sheet(sheet=self.sheet(), **asked)


class SheetCopies(SheetShown, Recording[BrewSheet]):
    """POST: begin the next version of the beer, or of another one, as a copy of the sheet."""

    right: ClassVar[Right] = Right.BREW
    asked = CopyAsked
    answered = BrewSheetAnswer
    queryset = sheets_in_full()

    def record(self, **asked: Any) -> BrewSheet:
        """Copy it."""
        return copy_sheet(sheet=self.sheet(), **asked)


def named_sheet(key: int) -> BrewSheet:
    """Return the sheet of that number with all that it says. Raises NotFound."""
    found = sheet_of(key)
    if found is None:
        raise NotFound(thing="brew sheet", code=key)
    return found
