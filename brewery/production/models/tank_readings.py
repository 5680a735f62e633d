"""Readings of tanks: gravity, temperature and what else is measured while beer lies in the cellar."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models import Location, Lot


class TankReading(models.Model):
    """One property of what a tank held at a moment, in millionths of its unit. Never changed.

    `lot` is what the tank held then. A correction is a reading that replaces another, and says why.
    """

    class Property(models.TextChoices):
        GRAVITY = "gravity", "gravity"
        TEMPERATURE = "temperature", "temperature"
        PH = "ph", "pH"
        CO2 = "co2", "carbon dioxide"
        OXYGEN = "oxygen", "dissolved oxygen"
        DIACETYL = "diacetyl", "diacetyl"
        PRESSURE = "pressure", "pressure"

    vessel = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="tank_readings")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="tank_readings")
    happened_at = models.DateTimeField()
    property = models.CharField(max_length=11, choices=Property)
    value_micro = models.BigIntegerField()
    remark = models.CharField(max_length=200, blank=True, default="")
    replaces = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    reason = models.CharField(max_length=200, blank=True, default="")
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="tank_readings")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("happened_at", "pk")
        constraints = (
            models.CheckConstraint(
                name="a_corrected_reading_says_why",
                condition=Q(replaces=None, reason="") | (~Q(replaces=None) & ~Q(reason="")),
            ),
        )
        indexes = (models.Index(fields=("vessel", "happened_at"), name="reading_by_vessel"),)

    def __str__(self) -> str:
        return f"{self.vessel_id}: {self.property}"
