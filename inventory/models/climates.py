"""Climates of places: what loggers read there, what of it does not count, and the limits that it must keep to."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models.locations import Location


class ClimateReading(models.Model):
    """What one logger read in a place at a moment, in thousandths of a degree Celsius. Never changed."""

    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="climate_readings", db_index=False)
    logger = models.CharField(max_length=40)
    read_at = models.DateTimeField()
    milli_c = models.IntegerField()
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("location", "read_at", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("location", "read_at", "logger"), name="a_logger_reads_a_moment_of_a_place_once"
            ),
            models.CheckConstraint(name="a_climate_reading_names_its_logger", condition=~Q(logger="")),
        )

    def __str__(self) -> str:
        return f"{self.logger} in {self.location_id} at {self.read_at:%Y-%m-%d %H:%M}"


class ClimateCorrection(models.Model):
    """What a logger read in a place from `first_at` through `last_at` does not count, or counts again. Never changed.

    Of several for one moment the one recorded last holds, for readings that come later too.
    """

    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="climate_corrections", db_index=False)
    logger = models.CharField(max_length=40)
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()
    counts = models.BooleanField()
    reason = models.CharField(max_length=200)
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("location", "pk")
        indexes = (models.Index(fields=("location", "logger"), name="corrections_of_a_logger"),)
        constraints = (
            models.CheckConstraint(name="a_correction_ends_after_it_begins", condition=Q(first_at__lte=F("last_at"))),
            models.CheckConstraint(name="a_correction_of_a_climate_says_why", condition=~Q(reason="")),
        )

    def __str__(self) -> str:
        return f"{self.logger} in {self.location_id} from {self.first_at:%Y-%m-%d %H:%M}"


class ClimateLimit(models.Model):
    """What a place must keep to from a moment on, in thousandths of a degree Celsius. Never changed; the latest counts.

    `tolerated_minutes` is how long it may be outside, `silent_minutes` how long its loggers may be silent.
    """

    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="climate_limits")
    since = models.DateTimeField()
    least_milli_c = models.IntegerField(null=True, blank=True)
    most_milli_c = models.IntegerField(null=True, blank=True)
    tolerated_minutes = models.PositiveIntegerField(default=60)
    silent_minutes = models.PositiveIntegerField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("location", "since", "pk")
        constraints = (
            models.CheckConstraint(
                name="climate_limits_leave_room",
                condition=Q(least_milli_c=None) | Q(most_milli_c=None) | Q(least_milli_c__lt=F("most_milli_c")),
            ),
        )

    def __str__(self) -> str:
        return f"{self.location_id} since {self.since:%Y-%m-%d %H:%M}"
