"""Climates of places: what loggers read, one by one or as a file, and the limits that places must keep to."""

from typing import Any, ClassVar

import django_filters
from django.db.models import Count, Max, Min
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, PartsField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from inventory.api.codes import PlaceField
from inventory.api.locations import MILLI
from inventory.models import ClimateCorrection, ClimateLimit, ClimateReading
from inventory.queries.climates import judged
from inventory.services.climate_corrections import correct_climate
from inventory.services.climates import (
    MOST_READINGS,
    Logged,
    read_in_climate_file,
    set_climate_limit,
    take_climate_readings,
)

MOST_AT_ONCE = 2_000


class ClimateReadingAnswer(serializers.ModelSerializer[ClimateReading]):
    """What a logger read in a place at a moment, and whether it counts or was said to be wrong."""

    counts = serializers.BooleanField(read_only=True)
    location = serializers.CharField(source="location.code")
    temperature_c = PartsField(MILLI, source="milli_c")

    class Meta:
        model = ClimateReading
        fields = ("id", "location", "logger", "read_at", "temperature_c", "counts", "recorded_at")


class LoggedAsked(serializers.Serializer[Any]):
    """One reading."""

    location = PlaceField()
    logger = TextField(max_length=40)
    read_at = MomentField()
    temperature_c = PartsField(MILLI, source="milli_c")

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a Logged."""
        return Logged(**attrs)


class ClimateReadingsAsked(serializers.Serializer[Any]):
    """What loggers read, up to 2,000 at once; what is on record already is not written again."""

    readings = serializers.ListField(child=LoggedAsked(), max_length=MOST_AT_ONCE)


class ClimateTakenAnswer(serializers.Serializer[Any]):
    """How many readings are new on record, and from when until when they are."""

    readings = serializers.IntegerField(min_value=1, max_value=MOST_READINGS)
    first_at = serializers.DateTimeField()
    last_at = serializers.DateTimeField()


class ClimateReadingFilters(django_filters.FilterSet):
    """Narrows the list."""

    location = CodeFilter(field_name="location__code")
    logger = django_filters.CharFilter(field_name="logger")
    since = django_filters.IsoDateTimeFilter(field_name="read_at", lookup_expr="gte")
    until = django_filters.IsoDateTimeFilter(field_name="read_at", lookup_expr="lt")

    class Meta:
        model = ClimateReading
        fields: tuple[str, ...] = ()


class _Taking(Recording[ClimateReading]):
    """Answers with how many readings are new."""

    answered = ClimateTakenAnswer

    def in_full(self, made: ClimateReading) -> Any:
        """Return what the same request wrote."""
        rows = ClimateReading.objects.filter(request=made.request_id).order_by()
        return rows.aggregate(readings=Count("pk"), first_at=Min("read_at"), last_at=Max("read_at"))


class ClimateReadings(RecordList, _Taking):
    """What loggers read in places, the last recorded first; POST takes readings, all of them or none."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.LOG_CLIMATE}
    queryset = judged(ClimateReading.objects.select_related("location"))
    serializer_class = ClimateReadingAnswer
    asked = ClimateReadingsAsked
    filterset_class = ClimateReadingFilters

    def record(self, **asked: Any) -> ClimateReading:
        """Take them."""
        return take_climate_readings(**asked)


class ClimateFileAsked(serializers.Serializer[Any]):
    """Which logger, and a CSV file in UTF-8, whose first line names its columns."""

    logger = serializers.CharField(max_length=40)
    file = serializers.FileField(allow_empty_file=True)


class ClimateFiles(_Taking):
    """POST: read in what a logger read in places, sent as multipart/form-data; all of it, or none.

    Columns: place, time, celsius. A time without an offset is by the brewery's clock.
    """

    right: ClassVar[Right] = Right.LOG_CLIMATE
    parser_classes = (MultiPartParser,)
    asked = ClimateFileAsked

    def record(self, **asked: Any) -> ClimateReading:
        """Read it in."""
        file = asked.pop("file")
        return read_in_climate_file(name=file.name, content=file.read(), **asked)


class ClimateCorrectionAnswer(serializers.ModelSerializer[ClimateCorrection]):
    """Which readings of a logger do not count, or count again."""

    location = serializers.CharField(source="location.code")
    actor = serializers.CharField(source="actor.username")

    class Meta:
        model = ClimateCorrection
        fields = ("id", "location", "logger", "first_at", "last_at", "counts", "reason", "recorded_at", "actor")


class ClimateCorrectionAsked(serializers.Serializer[Any]):
    """Which logger in which place, from its first reading through its last, and why. `counts`: they count again."""

    location = PlaceField()
    logger = TextField(max_length=40)
    first_at = MomentField()
    last_at = MomentField()
    counts = serializers.BooleanField(required=False, default=False)
    reason = TextField(max_length=200)


class ClimatePlaceFilters(django_filters.FilterSet):
    """Narrows the list."""

    location = CodeFilter(field_name="location__code")


class ClimateCorrections(RecordList, Recording[ClimateCorrection]):
    """Which readings were said not to count, the last recorded first; POST says so, or that they count again."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.SPECIFY}
    queryset = ClimateCorrection.objects.select_related("location", "actor")
    serializer_class = answered = ClimateCorrectionAnswer
    asked = ClimateCorrectionAsked
    filterset_class = ClimatePlaceFilters

    def record(self, **asked: Any) -> ClimateCorrection:
        """Say so."""
        return correct_climate(**asked)


class ClimateLimitAnswer(serializers.ModelSerializer[ClimateLimit]):
    """What a place must keep to since when."""

    location = serializers.CharField(source="location.code")
    least_c = PartsField(MILLI, source="least_milli_c", allow_null=True)
    most_c = PartsField(MILLI, source="most_milli_c", allow_null=True)
    actor = serializers.CharField(source="actor.username")

    class Meta:
        model = ClimateLimit
        fields = (
            "id",
            "location",
            "since",
            "least_c",
            "most_c",
            "tolerated_minutes",
            "silent_minutes",
            "recorded_at",
            "actor",
        )


class ClimateLimitAsked(serializers.Serializer[Any]):
    """What a place must keep to from when on; null for no limit."""

    location = PlaceField()
    since = MomentField()
    least_c = PartsField(MILLI, source="least_milli_c", allow_null=True)
    most_c = PartsField(MILLI, source="most_milli_c", allow_null=True)
    tolerated_minutes = serializers.IntegerField(required=False, default=60)
    silent_minutes = serializers.IntegerField(required=False, allow_null=True, default=None)


class ClimateLimits(RecordList, Recording[ClimateLimit]):
    """What places must keep to, the last recorded first; POST says so from a moment on."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.SPECIFY}
    queryset = ClimateLimit.objects.select_related("location", "actor")
    serializer_class = answered = ClimateLimitAnswer
    asked = ClimateLimitAsked
    filterset_class = ClimatePlaceFilters

    def record(self, **asked: Any) -> ClimateLimit:
        """Set them."""
        return set_climate_limit(**asked)
