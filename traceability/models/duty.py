"""What duty is told and the ledger does not say: who stands how, what a shipment was for, which periods are closed."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request, Seal
from inventory.models import Event, Location, Lot, Party


class DutyStanding(models.Model):
    """How a place or a party stands to duty from a moment on, until its next row. Never changed.

    Without a row every place inside the brewery is in bond, every party is duty paid.
    """

    class Standing(models.TextChoices):
        IN_BOND = "in_bond", "in bond"
        DUTY_PAID = "duty_paid", "duty paid"
        ABROAD = "abroad", "abroad"

    place = models.ForeignKey(Location, on_delete=models.PROTECT, null=True, blank=True, related_name="duty_standings")
    party = models.ForeignKey(Party, on_delete=models.PROTECT, null=True, blank=True, related_name="duty_standings")
    since = models.DateTimeField()
    standing = models.CharField(max_length=9, choices=Standing)
    told_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("since", "id")
        constraints = (
            models.CheckConstraint(
                name="a_standing_is_of_a_place_or_a_party",
                condition=Q(place=None, party__isnull=False) | Q(place__isnull=False, party=None),
            ),
            models.CheckConstraint(
                name="a_place_of_the_brewery_is_not_abroad", condition=Q(place=None) | ~Q(standing="abroad")
            ),
        )

    def __str__(self) -> str:
        return f"{self.place or self.party}: {self.get_standing_display()}"


class DutyPurpose(models.Model):
    """What a shipment was for, as duty sees it. Never changed; the last row of a shipment counts."""

    class Purpose(models.TextChoices):
        HOME_USE = "home_use", "for consumption or sale"
        EXPORT = "export", "for export"
        SUPPLIES = "supplies", "without payment, as supplies of ships or aircraft"
        RESEARCH = "research", "without payment, for research or testing"
        OTHER_PREMISES = "other_premises", "in bond to other premises"
        UNFIT = "unfit", "unfit for sale, for manufacturing"
        STAFF = "staff", "given to staff free of duty"

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="duty_purposes")
    purpose = models.CharField(max_length=14, choices=Purpose)
    told_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.event_id}: {self.get_purpose_display()}"


class DutyClosing(models.Model):
    """One closing of a period under a scheme, or an amendment of one. Never changed.

    `record` is what was known of the period by `closed_at`, `digest` its SHA-256, `seal` the seal that the record was
    under then. `last_event` is the newest event of then, and the `lots` are what was in bond at the end of the period
    by all events up to it; of closings that are older than these, none.
    """

    scheme = models.CharField(max_length=40)
    first = models.DateField()
    last = models.DateField()
    record = models.JSONField()
    digest = models.CharField(max_length=64)
    reason = models.CharField(max_length=400, blank=True, default="")
    closed_at = models.DateTimeField()
    amends = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="amended_by")
    last_event = models.ForeignKey(
        Event, on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False
    )
    seal = models.ForeignKey(Seal, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-first", "-id")
        constraints = (
            models.CheckConstraint(name="a_duty_period_ends_after_it_begins", condition=Q(last__gte=F("first"))),
            models.CheckConstraint(
                name="only_an_amendment_has_its_reason", condition=Q(amends=None, reason="") | Q(amends__isnull=False)
            ),
            models.UniqueConstraint(
                fields=("scheme", "first"), condition=Q(amends=None), name="a_duty_period_is_closed_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.scheme} {self.first} to {self.last}"


class BondedLot(models.Model):
    """What of a lot was in bond at the end of a closed period, in millionths of its unit. Never changed."""

    closing = models.ForeignKey(DutyClosing, on_delete=models.PROTECT, related_name="lots")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    quantity_micro = models.BigIntegerField()

    class Meta:
        ordering = ("closing", "lot")
        constraints = (models.UniqueConstraint(fields=("closing", "lot"), name="a_closing_tells_a_lot_once"),)

    def __str__(self) -> str:
        return f"{self.closing_id}: {self.lot_id}"
