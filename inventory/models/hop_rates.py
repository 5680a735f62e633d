"""Rates of hops: how quickly alpha acids go, where somebody knows better than what is published of the cultivar."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.lots import Lot
from inventory.models.materials import Material


class HopRate(models.Model):
    """What one lot, or every lot of a material, loses of its alpha acids in 180 days at 20 °C in the open.

    In millionths of a per cent. Never changed; the last row of a lot or material counts, and one without a figure
    takes back what was said before.
    """

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="hop_rates")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="hop_rates")
    loss_micro_pct = models.BigIntegerField(null=True, blank=True)
    source = models.CharField(max_length=200)
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                name="a_hop_rate_is_of_a_lot_or_of_a_material",
                condition=Q(lot=None, material__isnull=False) | Q(lot__isnull=False, material=None),
            ),
            models.CheckConstraint(
                name="a_hop_never_loses_all_or_less_than_nothing",
                condition=Q(loss_micro_pct=None) | Q(loss_micro_pct__gte=0, loss_micro_pct__lt=100_000_000),
            ),
            models.CheckConstraint(name="a_hop_rate_says_where_it_is_from", condition=~Q(source="")),
        )

    def __str__(self) -> str:
        return f"{self.lot_id or self.material_id}: {self.loss_micro_pct}"
