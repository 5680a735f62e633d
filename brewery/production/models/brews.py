"""Brews."""

from django.db import models

from brewery.kernel.models import Request
from inventory.models import Location, Material


class Brew(models.Model):
    """One brew, from the first draw to knock-out. What is drawn lies at its location until wort is made of it."""

    code = models.CharField(max_length=20, unique=True)
    beer = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="brews")
    location = models.OneToOneField(Location, on_delete=models.PROTECT, related_name="brew")
    started_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-started_at", "code")

    def __str__(self) -> str:
        return self.code
