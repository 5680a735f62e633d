"""Readings of tanks: one or many at once, corrections, and what the fermentations of all tanks are doing."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import DecimalTextField, MomentField, TextField
from brewery.kernel.api.filters import CodeFilter, MomentFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.errors import NotFound
from brewery.production.models import TankReading
from brewery.production.queries.tank_limits import ShownReading, shown_readings
from brewery.production.queries.tank_readings import tank_readings
from brewery.production.services.tank_readings import MOST_AT_ONCE, Measured, correct_reading, read_tanks
from brewery.science.properties import NotAReading, plain, read
from brewery.science.tank_readings import READINGS
from inventory.api.codes import PlaceField
from inventory.api.parts import ReasonField


class TankReadingAnswer(serializers.Serializer[ShownReading]):
    """One reading; `lot` is what the tank held then, `outside` a sentence where it is outside of its limits."""

    id = serializers.IntegerField()
    vessel = serializers.CharField()
    lot = serializers.CharField()
    property = serializers.ChoiceField(choices=TankReading.Property.choices)
    value = serializers.CharField()
    unit = serializers.CharField()
    outside = serializers.CharField()
    remark = serializers.CharField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField()
    replaces = serializers.IntegerField(allow_null=True)
    replaced_by = serializers.IntegerField(allow_null=True)
    reason = serializers.CharField()

    def to_representation(self, shown: ShownReading) -> dict[str, Any]:
        """Return the reading as answers show it."""
        reading = shown.reading
        return {
            "id": reading.pk,
            "vessel": reading.vessel.code,
            "lot": reading.lot.code,
            "property": reading.property,
            "value": plain(reading.value_micro),
            "unit": READINGS[reading.property].unit,
            "outside": shown.outside,
            "remark": reading.remark,
            "happened_at": reading.happened_at,
            "recorded_at": reading.recorded_at,
            "actor": reading.actor.username,
            "replaces": reading.replaces_id,
            "replaced_by": reading.replaced_by.pk if shown.is_replaced else None,
            "reason": reading.reason,
        }


class ReadingsAnswer(serializers.Serializer[Any]):
    """All readings that one request took down, in the order in which they were sent."""

    readings = TankReadingAnswer(many=True)


class TankReadingAsked(serializers.Serializer[Any]):
    """One reading: the value is a decimal as text, in the unit of its property."""

    vessel = PlaceField()
    property = serializers.ChoiceField(choices=TankReading.Property.choices)
    value = DecimalTextField(max_length=30)
    happened_at = MomentField()
    remark = TextField(max_length=200, required=False, allow_blank=True, default="")

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return what was measured. Raises ValidationError where the value is no number."""
        return Measured(value_micro=micro_of(attrs["property"], attrs.pop("value")), **attrs)


class ReadingsAsked(serializers.Serializer[Any]):
    """Readings of one tank or many, of one moment or many; all are taken down or none."""

    readings = serializers.ListField(child=TankReadingAsked(), min_length=1, max_length=MOST_AT_ONCE)


class ReadingCorrectionAsked(serializers.Serializer[Any]):
    """The number of a reading, what takes its place, and why."""

    reading = serializers.IntegerField(min_value=1, max_value=2**63 - 1)
    value = DecimalTextField(max_length=30)
    happened_at = MomentField()
    reason = ReasonField()
    remark = TextField(max_length=200, required=False, allow_blank=True, default="")


class ReadingFilters(django_filters.FilterSet):
    """Narrows the list of readings."""

    vessel = CodeFilter(field_name="vessel__code")
    lot = CodeFilter(field_name="lot__code")
    property = django_filters.ChoiceFilter(choices=TankReading.Property.choices)
    happened_from = MomentFilter(field_name="happened_at", lookup_expr="gte")
    happened_before = MomentFilter(field_name="happened_at", lookup_expr="lt")
    standing = django_filters.BooleanFilter(field_name="replaced_by", lookup_expr="isnull")


class TankReadings(RecordList, Recording[TankReading]):
    """The readings of all tanks, replaced ones too, the last written first; POST takes readings down."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.CELLAR}
    queryset = tank_readings()
    filterset_class = ReadingFilters
    serializer_class = TankReadingAnswer
    asked = ReadingsAsked
    answered = ReadingsAnswer

    def paginate_queryset(self, queryset: Any) -> Any:
        """Return a page of the readings, each judged by its limits."""
        return shown_readings(super().paginate_queryset(queryset) or [])

    def record(self, **asked: Any) -> TankReading:
        """Take them down."""
        return read_tanks(**asked)

    def in_full(self, made: TankReading) -> Any:
        """Return all that were taken down with the first."""
        rows = tank_readings().filter(request=made.request_id, replaces=None).order_by("pk")
        return {"readings": shown_readings(list(rows))}


class ReadingCorrections(Recording[TankReading]):
    """POST: put a reading in the place of another, with a reason; the other stays on record."""

    right: ClassVar[Right] = Right.CELLAR
    queryset = tank_readings()
    asked = ReadingCorrectionAsked
    answered = TankReadingAnswer

    def record(self, **asked: Any) -> TankReading:
        """Correct it."""
        number = asked.pop("reading")
        reading = tank_readings().filter(pk=number).first()
        if reading is None:
            raise NotFound(thing="reading", code=number, field="reading")
        return correct_reading(reading=reading, value_micro=micro_of(reading.property, asked.pop("value")), **asked)

    def in_full(self, made: TankReading) -> Any:
        """Return the reading, judged by its limits."""
        return shown_readings([tank_readings().get(pk=made.pk)])[0]


def micro_of(property: str, value: str) -> int:
    """Return the value in millionths. Raises ValidationError where it is none of the property."""
    try:
        found = read(READINGS[property], value)
    except NotAReading as wrong:
        raise serializers.ValidationError({"value": str(wrong)}, code="invalid") from wrong
    if found.value_micro is None or found.bound:
        raise serializers.ValidationError({"value": "Write the figure itself, without < or >."}, code="invalid")
    return found.value_micro
