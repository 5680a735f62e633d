"""Brews."""

from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from brewery.production.models.sheets import BrewSheet
from inventory.models import Location, Material


class Brew(models.Model):
    """One brew, from the first draw to knock-out. What is drawn lies at its location until wort is made of it.

    `sheet` is what it is brewed by and `cold_wort_micro` how much is to come of it, where that was said.
    """

    code = models.CharField(max_length=20, unique=True)
    beer = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="brews")
    location = models.OneToOneField(Location, on_delete=models.PROTECT, related_name="brew")
    started_at = models.DateTimeField()
    sheet = models.ForeignKey(BrewSheet, on_delete=models.PROTECT, null=True, blank=True, related_name="brews")
    cold_wort_micro = models.BigIntegerField(null=True, blank=True)
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-started_at", "code")
        constraints = (
            models.CheckConstraint(
                name="a_brew_by_a_sheet_has_a_length",
                condition=Q(sheet=None, cold_wort_micro=None) | Q(sheet__isnull=False, cold_wort_micro__gt=0),
            ),
        )

    def __str__(self) -> str:
        return self.code
