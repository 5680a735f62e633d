"""Attachments: photos and papers of a delivery, a certificate or a place in the ledger, kept by their digest."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.certificates import Certificate
from inventory.models.deliveries import Delivery
from inventory.models.locations import Location


class Attachment(models.Model):
    """One file as it was handed over. Its content lies in the attachment store under its SHA-256 digest.

    What belongs to a brew names the brew's location.
    """

    sha256 = models.CharField(max_length=64)
    name = models.CharField(max_length=120)
    content_type = models.CharField(max_length=60)
    size_bytes = models.PositiveIntegerField()
    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, null=True, blank=True, related_name="attachments")
    certificate = models.ForeignKey(
        Certificate, on_delete=models.PROTECT, null=True, blank=True, related_name="attachments"
    )
    location = models.ForeignKey(Location, on_delete=models.PROTECT, null=True, blank=True, related_name="attachments")
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="attachments")
    added_at = models.DateTimeField()

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                name="an_attachment_belongs_to_one_thing",
                condition=Q(delivery__isnull=False, certificate=None, location=None)
                | Q(delivery=None, certificate__isnull=False, location=None)
                | Q(delivery=None, certificate=None, location__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return self.name
