"""Files of loggers over the API: a CSV file of readings of one tank or several."""

from typing import Any, ClassVar

from django.db.models import Count, Max, Min
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from brewery.kernel.access import Right
from brewery.kernel.api.views import Recording
from brewery.production.models import TankReading
from brewery.production.services.logger_files import MOST_READINGS, read_in_logger_file


class LoggerFileAsked(serializers.Serializer[Any]):
    """A CSV file in UTF-8, whose first line names its columns."""

    file = serializers.FileField(allow_empty_file=True)


class LoggerFileAnswer(serializers.Serializer[Any]):
    """How many readings are new on record by the file, and from when until when they are."""

    readings = serializers.IntegerField(min_value=1, max_value=MOST_READINGS)
    first_at = serializers.DateTimeField()
    last_at = serializers.DateTimeField()


class LoggerFiles(Recording[TankReading]):
    """POST: read in what loggers read of tanks, sent as multipart/form-data; all of it, or none.

    Columns: vessel, time, and any of gravity, temperature, ph, co2, oxygen, diacetyl, pressure, remark. A time without
    an offset is by the brewery's clock. What is on record already is not written again.
    """

    right: ClassVar[Right] = Right.CELLAR
    parser_classes = (MultiPartParser,)
    asked = LoggerFileAsked
    answered = LoggerFileAnswer

    def record(self, **asked: Any) -> TankReading:
        """Read it in."""
        file = asked.pop("file")
        return read_in_logger_file(name=file.name, content=file.read(), **asked)

    def in_full(self, made: TankReading) -> Any:
        """Return what the same request wrote."""
        rows = TankReading.objects.filter(request=made.request_id).order_by()
        return rows.aggregate(readings=Count("pk"), first_at=Min("happened_at"), last_at=Max("happened_at"))
