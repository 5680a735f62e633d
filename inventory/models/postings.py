"""Postings: the one table that everything else is a sum of."""

from django.db import models
from django.db.models import F, Q

from inventory.models.events import Event
from inventory.models.locations import Location
from inventory.models.lots import Lot


class Posting(models.Model):
    """One quantity of one lot that went from one location to another in one event. Never changed.

    Both sides stand in one row, so what leaves one account arrives in another: an event that does not balance cannot
    be written down at all, in either database, by anyone.
    """

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="postings")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="postings", db_index=False)
    from_location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+", db_index=False)
    to_location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+", db_index=False)
    quantity_micro = models.BigIntegerField()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.CheckConstraint(name="a_posting_moves_something", condition=Q(quantity_micro__gt=0)),
            models.CheckConstraint(name="a_posting_goes_somewhere_else", condition=~Q(from_location=F("to_location"))),
            models.UniqueConstraint(
                fields=("event", "lot", "from_location", "to_location"), name="one_posting_a_lot_and_way"
            ),
        )
        indexes = (
            models.Index(
                fields=("lot",),
                include=("from_location", "to_location", "quantity_micro", "event"),
                name="posting_by_lot",
            ),
            models.Index(fields=("from_location", "lot"), name="posting_by_origin"),
            models.Index(fields=("to_location", "lot"), name="posting_by_target"),
        )

    def __str__(self) -> str:
        return f"posting {self.pk}"
