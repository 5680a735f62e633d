"""Costs: what a lot cost, where the brewery keeps it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.lots import Lot


class LotCost(models.Model):
    """What one base unit of a lot cost, in ten-thousandths of the currency. The newest counts; none is changed."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="costs")
    unit_cost_e4 = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("lot", "-pk")
        constraints = (
            models.CheckConstraint(name="a_cost_is_never_below_zero", condition=Q(unit_cost_e4__gte=0)),
            models.CheckConstraint(name="a_currency_has_3_letters", condition=Q(currency__regex=r"^[A-Z]{3}$")),
        )

    def __str__(self) -> str:
        return f"{self.lot_id}: {self.unit_cost_e4} {self.currency}"
