"""Count sheets: a blind count of one place or one material, booked only once its differences are accepted."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.events import Event
from inventory.models.locations import Location
from inventory.models.lots import Lot
from inventory.models.materials import Material


class CountSheet(models.Model):
    """One count of one place, or of one material in all places.

    Whoever counts does not see the book; large differences need a second person.
    """

    class State(models.TextChoices):
        COUNTING = "counting", "counting"
        SUBMITTED = "submitted", "handed in"
        BOOKED = "booked", "booked"
        DISCARDED = "discarded", "discarded"

    location = models.ForeignKey(Location, on_delete=models.PROTECT, null=True, blank=True, related_name="count_sheets")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="count_sheets")
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
            models.UniqueConstraint(
                fields=("material",),
                condition=Q(state__in=["counting", "submitted"]),
                name="a_material_is_counted_by_one_sheet_at_a_time",
            ),
            models.CheckConstraint(
                name="a_count_is_of_a_place_or_of_a_material",
                condition=Q(location__isnull=False, material=None) | Q(location=None, material__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return f"count of {self.location or self.material} {self.pk}"

    @property
    def is_blind(self) -> bool:
        """Whether nobody is to be told what the book says."""
        return self.state in (self.State.COUNTING, self.State.DISCARDED)


class CountLine(models.Model):
    """One lot in one place of a count: what was found, by whom and when, why it differs, and the event that booked it.

    A line without a count is still to be counted. `counted_at` is what the book is held against, so what moves between
    the count and its booking does no harm.
    """

    sheet = models.ForeignKey(CountSheet, on_delete=models.PROTECT, related_name="lines")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="count_lines")
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    counted_micro = models.BigIntegerField(null=True, blank=True)
    counted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    counted_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True, default="")
    event = models.OneToOneField(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="count_line")

    class Meta:
        ordering = ("sheet", "pk")
        constraints = (
            models.UniqueConstraint(fields=("sheet", "lot", "location"), name="a_lot_stands_once_a_place_on_a_sheet"),
            models.CheckConstraint(
                name="a_count_is_never_below_zero", condition=Q(counted_micro=None) | Q(counted_micro__gte=0)
            ),
            models.CheckConstraint(
                name="a_count_says_who_counted_and_when",
                condition=Q(counted_micro=None, counted_by=None, counted_at=None)
                | Q(counted_micro__isnull=False, counted_by__isnull=False, counted_at__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.lot_id}"


class CountFind(models.Model):
    """Something found in a count that no lot on record explains: what stands on it, and how much there is, in words."""

    sheet = models.ForeignKey(CountSheet, on_delete=models.PROTECT, related_name="finds")
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    marking = models.CharField(max_length=60)
    words = models.CharField(max_length=200)
    found_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    found_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("sheet", "pk")

    def __str__(self) -> str:
        return self.marking
