"""Returns: what came back from a customer, why, and what became of it."""

from django.db import models
from django.db.models import Q

from inventory.models import Event, Location, Lot


class CustomerReturn(models.Model):
    """What came back in one event. Never changed; until somebody decides on it, it is proposed for nobody."""

    class Cause(models.TextChoices):
        UNSOLD = "unsold", "not sold"
        PART_EMPTY = "part_empty", "ullage: part-empty"
        DAMAGED = "damaged", "damaged"
        TASTE = "taste", "taste or smell"
        FOREIGN_MATTER = "foreign_matter", "foreign matter"
        OUT_OF_DATE = "out_of_date", "past its best-before day"
        WRONG_GOODS = "wrong_goods", "wrong goods or too many"
        RECALLED = "recalled", "recalled"
        OTHER = "other", "other"

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="customer_return")
    cause = models.CharField(max_length=16, choices=Cause)

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"return {self.pk}"


class ReturnOutcome(models.Model):
    """What became of some of a return: in stock again, destroyed, or tipped back into a tank. Never changed.

    `beer_micro` is the beer that was still in them, as measured, where somebody measured it. It counts until its event
    is reversed.
    """

    class Kind(models.TextChoices):
        RESTOCK = "restock", "back in stock"
        DESTROY = "destroy", "destroyed"
        REWORK = "rework", "tipped back into a tank"

    customer_return = models.ForeignKey(CustomerReturn, on_delete=models.PROTECT, related_name="outcomes")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="return_outcomes")
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=8, choices=Kind)
    count = models.PositiveIntegerField()
    beer_micro = models.BigIntegerField(null=True, blank=True)
    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="return_outcome")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(name="an_outcome_is_of_some", condition=Q(count__gt=0)),
            models.CheckConstraint(
                name="the_beer_in_them_is_measured", condition=Q(beer_micro=None) | Q(beer_micro__gte=0)
            ),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.count} of {self.lot_id}"
