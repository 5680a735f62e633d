"""Trade items: which GTIN stands for how much of which material."""

from django.db import models
from django.db.models import Q

from inventory.models.materials import Material


class TradeItem(models.Model):
    """One GTIN, as scanned from a box, sack or case: its material, and how much of it one such item holds."""

    gtin = models.CharField(max_length=14, unique=True)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="trade_items")
    name = models.CharField(max_length=120, blank=True, default="")
    content_micro = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ("gtin",)
        constraints = (
            models.CheckConstraint(name="a_gtin_is_kept_with_14_digits", condition=Q(gtin__regex=r"^[0-9]{14}$")),
            models.CheckConstraint(
                name="a_trade_item_holds_something", condition=Q(content_micro=None) | Q(content_micro__gt=0)
            ),
        )

    def __str__(self) -> str:
        return self.gtin
