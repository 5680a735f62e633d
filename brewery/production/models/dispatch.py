"""Dispatch: what customers ordered, what was picked for it, and the papers that went with what was shipped."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models import Event, Location, Lot, Material, Party


class CustomerOrder(models.Model):
    """One order of a customer. How far it has come follows from its picks and shipments; only calling off is written.

    What is picked for it is reserved under its number until it is shipped or put back.
    """

    class State(models.TextChoices):
        OPEN = "open", "open"
        PICKED = "picked", "picked"
        SHIPPED = "shipped", "shipped"
        CALLED_OFF = "called_off", "called off"

    number = models.CharField(max_length=40, unique=True)
    customer = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="customer_orders")
    customer_reference = models.CharField(max_length=60, blank=True, default="")
    wanted_on = models.DateField()
    deliver_to = models.CharField(max_length=200, blank=True, default="")
    note = models.CharField(max_length=200, blank=True, default="")
    called_off_because = models.CharField(max_length=200, blank=True, default="")
    revision = models.PositiveIntegerField(default=1)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("wanted_on", "number")

    def __str__(self) -> str:
        return self.number


class CustomerOrderLine(models.Model):
    """So many of one packaged beer in an order."""

    order = models.ForeignKey(CustomerOrder, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="customer_order_lines")
    count = models.PositiveIntegerField()

    class Meta:
        ordering = ("order", "position")
        constraints = (
            models.UniqueConstraint(fields=("order", "material"), name="one_line_of_an_order_a_material"),
            models.CheckConstraint(name="a_line_of_an_order_asks_for_some", condition=Q(count__gt=0)),
        )

    def __str__(self) -> str:
        return f"{self.order_id}/{self.position}"


class Shipment(models.Model):
    """The papers of one shipment: who drove it, how it was sealed, for which order. Never changed."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="shipment")
    order = models.ForeignKey(CustomerOrder, on_delete=models.PROTECT, null=True, blank=True, related_name="shipments")
    note_number = models.CharField(max_length=60)
    carrier = models.CharField(max_length=80, blank=True, default="")
    vehicle = models.CharField(max_length=40, blank=True, default="")
    driver = models.CharField(max_length=80, blank=True, default="")
    seal = models.CharField(max_length=40, blank=True, default="")
    short_life_reason = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("note_number",),
                condition=Q(order__isnull=False),
                name="a_delivery_note_number_is_given_once",
            ),
        )

    def __str__(self) -> str:
        return self.note_number


class Pick(models.Model):
    """So many of one lot, taken from one place for a line of an order: until it is put back, or shipped."""

    line = models.ForeignKey(CustomerOrderLine, on_delete=models.PROTECT, related_name="picks")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="picks")
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="picks")
    count = models.PositiveIntegerField()
    more_because = models.CharField(max_length=200, blank=True, default="")
    short_life_reason = models.CharField(max_length=200, blank=True, default="")
    picked_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="picks")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")
    put_back_at = models.DateTimeField(null=True, blank=True)
    shipment = models.ForeignKey(Shipment, on_delete=models.PROTECT, null=True, blank=True, related_name="picks")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(name="a_pick_takes_some", condition=Q(count__gt=0)),
            models.CheckConstraint(
                name="a_pick_is_put_back_or_shipped", condition=Q(put_back_at=None) | Q(shipment=None)
            ),
            models.CheckConstraint(
                name="a_pick_is_put_back_after_it_was_made",
                condition=Q(put_back_at=None) | Q(put_back_at__gte=F("picked_at")),
            ),
        )

    def __str__(self) -> str:
        return f"{self.count} of {self.lot_id}"
