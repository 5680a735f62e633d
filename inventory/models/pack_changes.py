"""Changes of packs: when a lot's sacks or boxes were opened, or sealed again."""

from django.conf import settings
from django.db import models

from brewery.kernel.models import Request
from brewery.science.hops import Pack
from inventory.models.lots import Lot


class PackChange(models.Model):
    """From `since` on what is left of the lot lies in such a pack. Never changed.

    Of several the latest `since` counts, and of two for one moment the one recorded last. Before the first, the pack
    is what the certificates say.
    """

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="pack_changes")
    since = models.DateTimeField()
    pack = models.CharField(max_length=30, choices=[(pack.value, pack.value) for pack in Pack])
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("lot", "since", "pk")

    def __str__(self) -> str:
        return f"{self.lot_id} since {self.since:%Y-%m-%d %H:%M}: {self.pack}"
