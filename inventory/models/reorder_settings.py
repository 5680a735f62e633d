"""Settings of reordering: of a material, from whom it is ordered, how sure one wants to be, and how much at once."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.materials import Material
from inventory.models.parties import Party


class ReorderSetting(models.Model):
    """How a material is reordered, in micro-units. Never changed; the last row of a material counts.

    `quantity_micro` is the level that is ordered up to, or what is ordered at once. `is_ended` says that it is
    reordered no longer.
    """

    class Policy(models.TextChoices):
        UP_TO = "up_to", "up to a level"
        FIXED = "fixed", "a fixed quantity"

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="reorder_settings")
    supplier = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="+")
    service_ppm = models.PositiveIntegerField(default=950_000)
    review_days = models.PositiveSmallIntegerField(default=7)
    lead_days = models.PositiveSmallIntegerField()
    policy = models.CharField(max_length=5, choices=Policy)
    quantity_micro = models.BigIntegerField()
    pack_micro = models.BigIntegerField(null=True, blank=True)
    least_micro = models.BigIntegerField(null=True, blank=True)
    is_ended = models.BooleanField(default=False)
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                name="a_reordered_quantity_is_something",
                condition=Q(quantity_micro__gt=0)
                & (Q(pack_micro=None) | Q(pack_micro__gt=0))
                & (Q(least_micro=None) | Q(least_micro__gt=0)),
            ),
            models.CheckConstraint(
                name="a_service_level_is_half_or_more_and_never_all",
                condition=Q(service_ppm__gte=500_000, service_ppm__lt=1_000_000),
            ),
        )

    def __str__(self) -> str:
        return f"{self.material_id} from {self.supplier_id}"
