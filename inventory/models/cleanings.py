"""Cleanings of vessels, vessels out of service, and what went into one that was not cleaned."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models.events import Event
from inventory.models.locations import Location
from inventory.models.lots import Lot


class CleaningQuerySet(models.QuerySet["Cleaning"]):
    """Cleanings, narrowed by whether they count."""

    def standing(self) -> "CleaningQuerySet":
        """Those that were done: no withdrawals, and none that was withdrawn."""
        return self.filter(withdraws=None, withdrawn_by=None)


class Cleaning(models.Model):
    """One cleaning of one vessel, or the withdrawal of one that was not done. Never changed.

    A withdrawal names the cleaning in `withdraws`, says why in `remark`, and carries the same `happened_at`.
    """

    vessel = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="cleanings")
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    programme = models.CharField(max_length=120)
    remark = models.TextField(blank=True, default="")
    withdraws = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="withdrawn_by"
    )
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="cleanings")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="cleanings")

    objects = CleaningQuerySet.as_manager()

    class Meta:
        ordering = ("happened_at", "id")
        indexes = (models.Index(fields=("vessel", "happened_at"), name="cleaning_of_vessel"),)
        constraints = (
            models.CheckConstraint(
                name="a_cleaning_is_recorded_after_it_happened", condition=Q(happened_at__lte=F("recorded_at"))
            ),
            models.CheckConstraint(
                name="a_withdrawn_cleaning_has_its_reason", condition=Q(withdraws=None) | ~Q(remark="")
            ),
        )

    def __str__(self) -> str:
        return f"cleaning {self.pk}"


class ServiceMark(models.Model):
    """A vessel was taken out of service, or put back into it. Never changed; the last one in time rules."""

    vessel = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="service_marks")
    is_out = models.BooleanField()
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    reason = models.TextField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="service_marks")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="service_marks")

    class Meta:
        ordering = ("happened_at", "id")
        indexes = (models.Index(fields=("vessel", "happened_at"), name="service_of_vessel"),)
        constraints = (
            models.CheckConstraint(
                name="a_service_mark_is_recorded_after_it_happened", condition=Q(happened_at__lte=F("recorded_at"))
            ),
            models.CheckConstraint(name="a_service_mark_has_its_reason", condition=~Q(reason="")),
        )

    def __str__(self) -> str:
        return f"{self.vessel_id}: {'out of service' if self.is_out else 'in service'}"


class UncleanFill(models.Model):
    """An event filled a vessel that was not cleaned after `before` had lain in it, and why. Never changed.

    It counts as long as its event does.
    """

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="unclean_fills")
    vessel = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="unclean_fills")
    before = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    reason = models.TextField()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(fields=("event", "vessel"), name="an_event_fills_a_vessel_once"),
            models.CheckConstraint(name="an_unclean_fill_has_its_reason", condition=~Q(reason="")),
        )

    def __str__(self) -> str:
        return f"{self.vessel_id} after {self.before_id}"
