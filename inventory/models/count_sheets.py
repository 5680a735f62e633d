"""Count sheets: a blind count of one place, booked only once its differences are accepted."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.events import Event
from inventory.models.locations import Location
from inventory.models.lots import Lot


class CountSheet(models.Model):
    """One count of one place. Whoever counts does not see the book; large differences need a second person."""

    class State(models.TextChoices):
        COUNTING = "counting", "counting"
        SUBMITTED = "submitted", "waiting for approval"
        BOOKED = "booked", "booked"
        DISCARDED = "discarded", "discarded"

    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="count_sheets")
    state = models.CharField(max_length=10, choices=State, default=State.COUNTING)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    counted_at = models.DateTimeField(null=True, blank=True)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    approved_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-opened_at", "-pk")
        constraints = (
            models.UniqueConstraint(
                fields=("location",),
                condition=Q(state__in=["counting", "submitted"]),
                name="a_place_is_counted_by_one_sheet_at_a_time",
            ),
        )

    def __str__(self) -> str:
        return f"count of {self.location} {self.pk}"


class CountLine(models.Model):
    """One lot of a count: what was found, why it differs, and the event that booked it."""

    sheet = models.ForeignKey(CountSheet, on_delete=models.PROTECT, related_name="lines")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="count_lines")
    counted_micro = models.BigIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True, default="")
    event = models.OneToOneField(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="count_line")

    class Meta:
        ordering = ("sheet", "pk")
        constraints = (
            models.UniqueConstraint(fields=("sheet", "lot"), name="a_lot_stands_once_on_a_sheet"),
            models.CheckConstraint(
                name="a_count_is_never_below_zero", condition=Q(counted_micro=None) | Q(counted_micro__gte=0)
            ),
        )

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.lot_id}"
