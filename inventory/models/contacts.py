"""Contacts: which lots met where one layer of a silo runs into the next."""

from django.db import models
from django.db.models import F, Q

from inventory.models.events import Event
from inventory.models.locations import Location
from inventory.models.lots import Lot


class Contact(models.Model):
    """What left a layered silo with `lot`, out of the band in which it had met `neighbour`. Never changed.

    What is made of it at `to_location`, or wherever it goes from there, may hold some of the neighbour.
    """

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="contacts")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="contacts")
    neighbour = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    to_location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(
                fields=("event", "lot", "neighbour", "to_location"), name="a_contact_is_told_once_an_event"
            ),
            models.CheckConstraint(name="a_lot_meets_another_than_itself", condition=~Q(lot=F("neighbour"))),
        )

    def __str__(self) -> str:
        return f"{self.lot_id} met {self.neighbour_id}"
