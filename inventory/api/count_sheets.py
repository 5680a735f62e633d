"""Count sheets: opened, counted line by line, handed in, booked. The book is told once the count is handed in."""

from typing import Any, ClassVar

import django_filters
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import (
    MomentField,
    QuantityAnswer,
    QuantityPair,
    TextField,
    quantity_of,
    refuse_other_unit,
)
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from inventory.api.codes import LotField, MaterialField, PlaceField
from inventory.api.parts import ReasonField
from inventory.models import CountFind, CountLine, CountSheet
from inventory.queries.count_sheets import Difference, differences_of, sheets_in_brief, sheets_with_lines
from inventory.services.count_sheets import (
    book_count,
    discard_count,
    enter_count,
    hand_in_count,
    note_find,
    open_count,
    recount,
)

STATES = CountSheet.State.choices


class CountLineAnswer(serializers.Serializer[Any]):
    """One lot in one place. `book`, `difference` and `needs_approval` are told once the count is handed in."""

    lot = serializers.CharField()
    material = serializers.CharField()
    location = serializers.CharField()
    counted = QuantityAnswer(allow_null=True)
    counted_by = serializers.CharField(allow_null=True)
    counted_at = serializers.DateTimeField(allow_null=True)
    book = QuantityAnswer(allow_null=True)
    difference = QuantityAnswer(allow_null=True)
    needs_approval = serializers.BooleanField(allow_null=True)
    reason = serializers.CharField()
    event = serializers.IntegerField(allow_null=True)


class CountFindAnswer(serializers.Serializer[CountFind]):
    """Something that no lot on record explains: what stands on it, and what and how much it is."""

    marking = serializers.CharField()
    words = serializers.CharField()
    location = serializers.CharField(source="location.code")
    found_by = serializers.CharField(source="found_by.username")
    found_at = serializers.DateTimeField()


class CountSheetInBrief(serializers.Serializer[CountSheet]):
    """One count of a place or of a material."""

    id = serializers.IntegerField()
    location = serializers.CharField(source="location.code", default=None, allow_null=True)
    material = serializers.CharField(source="material.code", default=None, allow_null=True)
    state = serializers.ChoiceField(choices=STATES)
    opened_by = serializers.CharField(source="opened_by.username")
    opened_at = serializers.DateTimeField()
    counted_at = serializers.DateTimeField(allow_null=True)
    approved_by = serializers.CharField(source="approved_by.username", default=None, allow_null=True)
    approved_at = serializers.DateTimeField(allow_null=True)
    version = serializers.IntegerField()


class CountSheetAnswer(CountSheetInBrief):
    """One count with its lines, and what was found that no lot explains."""

    lines = serializers.SerializerMethodField()
    finds = CountFindAnswer(many=True)

    @extend_schema_field(CountLineAnswer(many=True))
    def get_lines(self, sheet: CountSheet) -> list[dict[str, Any]]:
        lines = list(sheet.lines.all())
        told = {} if sheet.is_blind else {one.line.pk: one for one in differences_of(lines)}
        return [_line(line, told.get(line.pk)) for line in lines]


class CountSheetAsked(serializers.Serializer[Any]):
    """What is to be counted: a place, or a material in all places."""

    location = PlaceField(required=False, default=None)
    material = MaterialField(required=False, default=None)


@extend_schema_field({"type": "integer", "minimum": 1})
class SheetField(serializers.PrimaryKeyRelatedField[CountSheet]):
    """A count by its number."""

    default_error_messages = {"does_not_exist": "There is no count of this number: look it up in the list."}

    def __init__(self, **options: Any) -> None:
        super().__init__(
            queryset=CountSheet.objects.all(),
            pk_field=serializers.IntegerField(min_value=1, max_value=2**63 - 1),
            **options,
        )


class CountEntryAsked(QuantityPair):
    """How much of a lot was found; `location` on a sheet of a material, `counted_at` where it was not just now."""

    may_be_nothing: ClassVar[bool] = True

    sheet = SheetField()
    lot = LotField()
    location = PlaceField(required=False, default=None)
    counted_at = MomentField(required=False, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read. Raises ValidationError where the unit does not measure the lot."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["lot"].material.base_unit)
        return {**read, "counted_micro": amount.micro}


class CountFindAsked(serializers.Serializer[Any]):
    """What stands on something that no lot on record explains, and what and how much it is, in words."""

    sheet = SheetField()
    location = PlaceField(required=False, default=None)
    marking = TextField(max_length=60)
    words = TextField(max_length=200)


class SheetAsked(serializers.Serializer[Any]):
    """Which count."""

    sheet = SheetField()


class CountBookingAsked(SheetAsked):
    """Which count, and why it differs from the book."""

    reason = ReasonField()


class CountSheetFilters(django_filters.FilterSet):
    """Narrows the list of counts."""

    location = CodeFilter(field_name="location__code")
    material = CodeFilter(field_name="material__code")
    state = django_filters.ChoiceFilter(choices=STATES)

    class Meta:
        model = CountSheet
        fields: tuple[str, ...] = ()


class SheetRecording(Recording[Any]):
    """POST: something of a count; the answer is the count."""

    right: ClassVar[Right] = Right.COUNT_STOCK
    answered = CountSheetAnswer

    def in_full(self, made: CountSheet | CountLine | CountFind) -> CountSheet:
        """Return the count with its lines."""
        return sheets_with_lines().get(pk=made.pk if isinstance(made, CountSheet) else made.sheet_id)


class CountSheets(RecordList, SheetRecording):
    """Counts, the newest first; POST opens one, with the lots that the book expects."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.COUNT_STOCK}
    queryset = sheets_in_brief()
    serializer_class = CountSheetInBrief
    asked = CountSheetAsked
    filterset_class = CountSheetFilters

    def record(self, **asked: Any) -> CountSheet:
        """Open it."""
        return open_count(**asked)


class OneCountSheet(RecordDetail):
    """One count by its number, with its lines."""

    queryset = sheets_with_lines()
    serializer_class = CountSheetAnswer
    thing: ClassVar[str] = "count"


class CountEntries(SheetRecording):
    """POST: how much of a lot was found; a second count takes the first one's place."""

    asked = CountEntryAsked

    def record(self, **asked: Any) -> CountLine:
        """Enter it."""
        return enter_count(**asked)


class CountFinds(SheetRecording):
    """POST: note something that no lot on record explains."""

    asked = CountFindAsked

    def record(self, **asked: Any) -> CountFind:
        """Note it."""
        return note_find(**asked)


class CountSubmissions(SheetRecording):
    """POST: hand a count in; one that agrees with the book in everything is booked at once."""

    asked = SheetAsked

    def record(self, **asked: Any) -> CountSheet:
        """Hand it in."""
        return hand_in_count(**asked)


class CountBookings(SheetRecording):
    """POST: book a count that was handed in. Large differences take the right to approve, and another person."""

    asked = CountBookingAsked

    def record(self, **asked: Any) -> CountSheet:
        """Book it."""
        return book_count(**asked)


class Recounts(SheetRecording):
    """POST: have counted again what differs from the book."""

    asked = SheetAsked

    def record(self, **asked: Any) -> CountSheet:
        """Send it back."""
        return recount(**asked)


class CountDiscards(SheetRecording):
    """POST: end a count without booking anything."""

    asked = SheetAsked

    def record(self, **asked: Any) -> CountSheet:
        """Discard it."""
        return discard_count(**asked)


def _line(line: CountLine, told: Difference | None) -> dict[str, Any]:
    unit = line.lot.material.base_unit
    return {
        "lot": line.lot.code,
        "material": line.lot.material.code,
        "location": line.location.code,
        "counted": None if line.counted_micro is None else quantity_of(line.counted_micro, unit),
        "counted_by": line.counted_by and line.counted_by.username,
        "counted_at": line.counted_at,
        "book": told and quantity_of(told.book_micro, unit),
        "difference": told and quantity_of(told.difference_micro, unit),
        "needs_approval": told and told.needs_approval,
        "reason": line.reason,
        "event": line.event_id,
    }
