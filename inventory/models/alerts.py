"""Alerts: what somebody must know or do, told once as long as it lasts."""

from datetime import datetime

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.access import Role
from brewery.kernel.models import Request
from inventory.models.locations import Location
from inventory.models.lots import Lot
from inventory.models.materials import Material


class AlertQuerySet(models.QuerySet["Alert"]):
    """Alerts, narrowed by how they stand."""

    def open(self) -> "AlertQuerySet":
        """Those whose cause is still there."""
        return self.filter(closed_at=None)

    def due(self, moment: datetime) -> "AlertQuerySet":
        """Those open that nobody put off beyond the moment."""
        return self.open().filter(Q(snoozed_until=None) | Q(snoozed_until__lte=moment))


class Alert(models.Model):
    """One cause of one kind, from when it was first found until it was gone. When it comes back, that is a new alert.

    `cause` tells it from others of its kind. `words`, `severity` and the rest follow the cause while it lasts.
    `snoozed_until` is what the last step says.
    """

    class Severity(models.IntegerChoices):
        """How pressing it is."""

        NOTICE = 1, "to know"
        WARNING = 2, "to do"
        URGENT = 3, "at once"

    kind = models.CharField(max_length=40)
    cause = models.CharField(max_length=120)
    severity = models.PositiveSmallIntegerField(choices=Severity)
    owner = models.CharField(max_length=20, choices=[(role.value, role.value) for role in Role])
    words = models.TextField()
    address = models.CharField(max_length=200, blank=True, default="")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts")
    location = models.ForeignKey(Location, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts")
    opened_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    snoozed_until = models.DateTimeField(null=True, blank=True)
    is_acknowledged = models.BooleanField(default=False)

    objects = AlertQuerySet.as_manager()

    class Meta:
        ordering = ("-severity", "-opened_at", "-pk")
        constraints = (
            models.UniqueConstraint(
                fields=("kind", "cause"), condition=Q(closed_at=None), name="a_cause_has_one_open_alert"
            ),
            models.CheckConstraint(name="an_alert_says_what_it_is", condition=~Q(words="")),
        )
        indexes = (
            models.Index(
                fields=("owner", "severity"),
                include=("snoozed_until",),
                condition=Q(closed_at=None),
                name="open_alert_by_owner",
            ),
        )

    def __str__(self) -> str:
        return f"alert {self.pk}"


class AlertStep(models.Model):
    """What somebody did about an alert. Never changed."""

    class Kind(models.TextChoices):
        """Seen, put off until a moment, or no longer put off."""

        ACKNOWLEDGED = "acknowledged", "seen"
        SNOOZED = "snoozed", "put off"
        WOKEN = "woken", "no longer put off"

    alert = models.ForeignKey(Alert, on_delete=models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=12, choices=Kind)
    until = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True, default="")
    taken_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                name="what_is_put_off_says_until_when",
                condition=Q(kind="snoozed", until__isnull=False) | (~Q(kind="snoozed") & Q(until=None)),
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} of {self.alert_id}"


class AlertLook(models.Model):
    """How often the causes of one kind were looked for, and when last: so that of two who look at once one counts."""

    kind = models.CharField(max_length=40, unique=True)
    number = models.PositiveBigIntegerField(default=0)
    looked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.kind}: look {self.number}"
