"""Packaging runs."""

from django.db import models

from brewery.kernel.models import Request
from inventory.models import Location, Material


class PackagingRun(models.Model):
    """One run of a filling line. Bottles, crowns, kegs and labels drawn for it lie at its location until filled."""

    code = models.CharField(max_length=20, unique=True)
    beer = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="packaging_runs")
    location = models.OneToOneField(Location, on_delete=models.PROTECT, related_name="packaging_run")
    started_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-started_at", "code")

    def __str__(self) -> str:
        return self.code
