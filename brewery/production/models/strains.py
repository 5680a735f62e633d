"""Strains: what a yeast strain is held to, from a day on."""

from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models import Material


class StrainSetting(models.Model):
    """What one strain is held to from a day on; the newest that is in force counts. Never changed.

    `least_viability_micro` is in millionths of a per cent, `rate_micro` in millionths of a million living cells for
    each mL and °P, `most_days` how long a crop is stored, and the harvest lies between two days since the pitch.
    """

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="strain_settings")
    last_generation = models.PositiveSmallIntegerField()
    least_viability_micro = models.BigIntegerField()
    most_days = models.PositiveSmallIntegerField()
    rate_micro = models.BigIntegerField()
    harvest_from_days = models.PositiveSmallIntegerField(null=True, blank=True)
    harvest_until_days = models.PositiveSmallIntegerField(null=True, blank=True)
    in_force_from = models.DateField()
    source = models.CharField(max_length=200, blank=True, default="")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("material", "-in_force_from", "-pk")
        constraints = (
            models.CheckConstraint(name="a_strain_is_used_once_at_least", condition=Q(last_generation__gte=1)),
            models.CheckConstraint(
                name="viability_is_a_part_of_all_cells",
                condition=Q(least_viability_micro__gte=0, least_viability_micro__lte=100_000_000),
            ),
            models.CheckConstraint(name="some_cells_are_pitched", condition=Q(rate_micro__gt=0)),
            models.CheckConstraint(
                name="a_harvest_window_leaves_room",
                condition=Q(harvest_from_days=None)
                | Q(harvest_until_days=None)
                | Q(harvest_from_days__lte=F("harvest_until_days")),
            ),
        )

    def __str__(self) -> str:
        return f"{self.material_id} from {self.in_force_from}"
