"""Contracts of supply: a quantity of a material that is bought for a season and called off order by order."""

from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models.materials import Material
from inventory.models.parties import Party


class SupplyContract(models.Model):
    """One contract with a supplier. What was called off of it is the sum of the order lines that name it."""

    number = models.CharField(max_length=40, unique=True)
    supplier = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="contracts")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="contracts")
    crop_year = models.PositiveSmallIntegerField(null=True, blank=True)
    quantity_micro = models.BigIntegerField()
    begins_on = models.DateField()
    ends_on = models.DateField()
    note = models.CharField(max_length=200, blank=True, default="")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True, default="")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("ends_on", "number")
        constraints = (
            models.CheckConstraint(name="a_contract_is_of_something", condition=Q(quantity_micro__gt=0)),
            models.CheckConstraint(name="a_contract_ends_after_it_begins", condition=Q(ends_on__gte=F("begins_on"))),
        )

    def __str__(self) -> str:
        return self.number
