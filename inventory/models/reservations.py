"""Reservations: parts of lots that are spoken for."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.lots import Lot


class Reservation(models.Model):
    """A quantity of a lot that is kept for something, until it is drawn, let go, or its day is over."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="reservations")
    quantity_micro = models.BigIntegerField()
    purpose = models.CharField(max_length=60)
    until = models.DateField(null=True, blank=True)
    reserved_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="reservations")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")
    let_go_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("until", "pk")
        constraints = (models.CheckConstraint(name="a_reservation_keeps_something", condition=Q(quantity_micro__gt=0)),)

    def __str__(self) -> str:
        return f"{self.purpose}: {self.quantity_micro} of {self.lot_id}"
