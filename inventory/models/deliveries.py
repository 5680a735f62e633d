"""Deliveries: what the clerk writes down at the dock, first as a draft, then booked into the ledger at once."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.events import Event
from inventory.models.locations import Location
from inventory.models.lots import Lot
from inventory.models.materials import Material
from inventory.models.orders import OrderLine
from inventory.models.parties import Party


class Delivery(models.Model):
    """One lorry at the dock. A draft may change or be discarded; once booked, it has an event and stays as it is.

    `version` grows with each change, so that two people do not overwrite each other unseen. `pallet` is the SSCC of
    the one that is being unloaded: boxes that are scanned next came on it.
    """

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        BOOKED = "booked", "booked"
        DISCARDED = "discarded", "discarded"

    class Condition(models.TextChoices):
        SOUND = "sound", "sound"
        DAMAGED = "damaged", "damaged packs"
        WET = "wet", "wet"
        INFESTED = "infested", "insects or rodents"
        DIRTY = "dirty", "dirty vehicle"
        TOO_WARM = "too_warm", "too warm"

    supplier = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="deliveries")
    note_number = models.CharField(max_length=60, blank=True, default="")
    carrier = models.CharField(max_length=80, blank=True, default="")
    vehicle = models.CharField(max_length=40, blank=True, default="")
    arrived_at = models.DateTimeField()
    temperature_milli_c = models.IntegerField(null=True, blank=True)
    condition = models.CharField(max_length=10, choices=Condition, blank=True, default="")
    condition_note = models.CharField(max_length=200, blank=True, default="")
    same_note_confirmed = models.BooleanField(default=False)
    pallet = models.CharField(max_length=18, blank=True, default="")
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    version = models.PositiveIntegerField(default=1)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="deliveries")
    opened_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    event = models.OneToOneField(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="delivery")

    class Meta:
        ordering = ("-arrived_at", "-pk")
        verbose_name_plural = "deliveries"
        constraints = (
            models.CheckConstraint(
                name="a_booked_delivery_and_no_other_has_its_event",
                condition=Q(state="booked", event__isnull=False) | (~Q(state="booked") & Q(event=None)),
            ),
        )

    def __str__(self) -> str:
        return self.note_number or f"delivery {self.pk}"


class DeliveryChange(models.Model):
    """One change of a delivery: the version that it made, who made it, and what was touched. Never changed.

    `touched` names the fields, those of a line with the line's key before them: "note_number", "17.quantity_micro".
    """

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="changes")
    version = models.PositiveIntegerField()
    touched = models.JSONField()
    words = models.CharField(max_length=400)
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()

    class Meta:
        ordering = ("delivery", "version")
        constraints = (
            models.UniqueConstraint(fields=("delivery", "version"), name="each_version_of_a_delivery_is_one_change"),
        )

    def __str__(self) -> str:
        return self.words


class DeliveryLine(models.Model):
    """One supplier's lot of a delivery, as weighed and as the note says. Booked, it has made a lot."""

    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    order_line = models.ForeignKey(
        OrderLine, on_delete=models.PROTECT, null=True, blank=True, related_name="delivery_lines"
    )
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="delivery_lines")
    lot_code = models.CharField(max_length=20, blank=True, default="")
    supplier_lot = models.CharField(max_length=60, blank=True, default="")
    crop_year = models.PositiveSmallIntegerField(null=True, blank=True)
    quantity_micro = models.BigIntegerField(null=True, blank=True)
    quantity_typed = models.CharField(max_length=60, blank=True, default="")
    note_quantity_micro = models.BigIntegerField(null=True, blank=True)
    difference_reason = models.CharField(max_length=200, blank=True, default="")
    package_count = models.PositiveIntegerField(null=True, blank=True)
    package_micro = models.BigIntegerField(null=True, blank=True)
    best_before = models.DateField(null=True, blank=True)
    generation = models.PositiveSmallIntegerField(null=True, blank=True)
    location = models.ForeignKey(Location, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    contents_code = models.CharField(max_length=20, blank=True, default="")
    sscc = models.CharField(max_length=18, blank=True, default="")
    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="delivery_line")

    class Meta:
        ordering = ("delivery", "position")
        constraints = (
            models.UniqueConstraint(fields=("delivery", "position"), name="one_delivery_line_a_position"),
            models.CheckConstraint(
                name="a_delivery_line_brings_something", condition=Q(quantity_micro=None) | Q(quantity_micro__gt=0)
            ),
        )

    def __str__(self) -> str:
        return f"{self.delivery_id}/{self.position}"
