"""Decisions: who released, held or rejected a lot, when and why."""

from django.conf import settings
from django.db import models

from brewery.kernel.models import Request
from inventory.models.dispositions import Disposition
from inventory.models.lots import Lot


class Decision(models.Model):
    """One decision on what may be done with a lot. Never changed; a later one takes over."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="decisions")
    before = models.CharField(max_length=12, choices=Disposition)
    after = models.CharField(max_length=12, choices=Disposition)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="decisions")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="decisions")
    reason = models.TextField()

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.lot_id}: {self.after}"
