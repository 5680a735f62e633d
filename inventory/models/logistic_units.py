"""Logistic units: pallets under an SSCC, which hold lots and move as one."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.locations import Location


class LogisticUnit(models.Model):
    """One pallet. It is a location in the ledger itself, so what it holds is a balance like any other.

    `stands_in` is the store where it is now; every change of it is a UnitMove.
    """

    sscc = models.CharField(max_length=18, unique=True)
    location = models.OneToOneField(Location, on_delete=models.PROTECT, related_name="logistic_unit")
    stands_in = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="pallets")
    made_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("sscc",)
        constraints = (models.CheckConstraint(name="an_sscc_has_18_digits", condition=Q(sscc__regex=r"^[0-9]{18}$")),)

    def __str__(self) -> str:
        return self.sscc


class UnitMove(models.Model):
    """One move of a pallet from store to store, with all that it held. Never changed."""

    unit = models.ForeignKey(LogisticUnit, on_delete=models.PROTECT, related_name="moves")
    from_location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    to_location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("happened_at", "pk")

    def __str__(self) -> str:
        return f"{self.unit_id}: {self.from_location_id} → {self.to_location_id}"
