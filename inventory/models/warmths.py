"""How warm places are kept, from when on."""

from django.conf import settings
from django.db import models

from brewery.kernel.models import Request
from inventory.models.locations import Location


class Warmth(models.Model):
    """From `since` on the place is kept at `milli_c`, thousandths of a degree Celsius, or nobody knows. Never changed.

    Of several for one place the latest `since` counts, and of two for one moment the one recorded last. Before the
    first of them the place is as warm as its entry in the register says.
    """

    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="warmths", db_index=False)
    since = models.DateTimeField()
    milli_c = models.IntegerField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("location", "since", "pk")
        indexes = (models.Index(fields=("location", "since"), name="warmths_of_a_place_by_time"),)

    def __str__(self) -> str:
        return f"{self.location_id} since {self.since:%Y-%m-%d %H:%M}"
