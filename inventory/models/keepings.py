"""Keepings: when what lies in a place will have kept long enough, worked out whenever something about it changes."""

from django.db import models

from inventory.models.locations import Location
from inventory.models.lots import Lot


class Keeping(models.Model):
    """The moment at which the part of a lot in a place crosses a limit, if all stays as it is; None is never.

    `rule` names the limit. `is_known` is false where nobody can tell: no figure was measured, or how warm it lay is
    not on record. The rows follow from the record, and are made anew from it at any time.
    """

    lot = models.ForeignKey(Lot, on_delete=models.CASCADE, related_name="keepings")
    location = models.ForeignKey(Location, on_delete=models.CASCADE, related_name="+")
    rule = models.CharField(max_length=20)
    crosses_at = models.DateTimeField(null=True, blank=True)
    is_known = models.BooleanField(default=True)

    class Meta:
        ordering = ("crosses_at", "pk")
        constraints = (
            models.UniqueConstraint(fields=("lot", "location", "rule"), name="one_keeping_a_part_and_rule"),
            models.CheckConstraint(
                name="what_nobody_can_tell_has_no_moment",
                condition=models.Q(is_known=True) | models.Q(crosses_at=None),
            ),
        )
        indexes = (models.Index(fields=("rule", "crosses_at"), name="keeping_by_moment"),)

    def __str__(self) -> str:
        return f"{self.rule} of {self.lot_id} in {self.location_id}"


class KeepingNews(models.Model):
    """A lot, or a place with all that lies in it, of which keepings must be worked out anew.

    The database itself writes it, in the transaction that changed what they depend on. It is gone once that is done.
    """

    lot = models.ForeignKey(
        Lot, on_delete=models.CASCADE, null=True, blank=True, db_index=False, db_constraint=False, related_name="+"
    )
    location = models.ForeignKey(
        Location, on_delete=models.CASCADE, null=True, blank=True, db_index=False, db_constraint=False, related_name="+"
    )

    def __str__(self) -> str:
        return f"lot {self.lot_id}" if self.lot_id else f"location {self.location_id}"
