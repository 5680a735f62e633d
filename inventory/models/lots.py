"""Lots: what is counted."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from inventory.models.dispositions import Disposition
from inventory.models.events import Event
from inventory.models.materials import Material
from inventory.models.parties import Party

LOT_CODE = r"^[!\"%&'*+,\-./0-9:;<=>?A-Z_a-z]{1,20}\Z"
"""GS1 General Specifications, AI (10): 1 to 20 characters of character set 82; brackets are left out, since a
human-readable line that holds them cannot be read back."""

lot_code = RegexValidator(
    LOT_CODE, "A lot code is 1 to 20 letters, digits or signs that a GS1 barcode can carry, without spaces or brackets."
)


class Lot(models.Model):
    """One identified quantity of one material with one history. Only the marks below ever change.

    `made_micro` is what its first event made it with, the losses of that step included. `counted_micro` is the net of
    its counts and gauges, kept by the database. `reversed_by` marks a lot that was made by mistake. `package_micro` is
    the content of one of its sacks, boxes or drums, where they are alike.
    """

    code = models.CharField(max_length=20, validators=[lot_code])
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="lots")
    made_by = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="made_lots")
    made_at = models.DateTimeField()
    made_micro = models.BigIntegerField()
    counted_micro = models.BigIntegerField(default=0)
    disposition = models.CharField(max_length=12, choices=Disposition)
    reversed_by = models.ForeignKey(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    supplier = models.ForeignKey(Party, on_delete=models.PROTECT, null=True, blank=True, related_name="lots")
    supplier_lot = models.CharField(max_length=60, blank=True, default="")
    best_before = models.DateField(null=True, blank=True)
    generation = models.PositiveSmallIntegerField(null=True, blank=True)
    crop_year = models.PositiveSmallIntegerField(null=True, blank=True)
    package_micro = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(fields=("code",), condition=Q(reversed_by=None), name="a_lot_code_is_used_once"),
            models.CheckConstraint(name="a_lot_is_made_of_something", condition=Q(made_micro__gt=0)),
            models.CheckConstraint(
                name="a_lot_is_never_counted_below_nothing", condition=Q(counted_micro__gte=-F("made_micro"))
            ),
        )
        indexes = (models.Index(fields=("code",), name="lot_by_code"),)

    def __str__(self) -> str:
        return self.code

    @property
    def total_micro(self) -> int:
        """What there ever was of it: what it was made with, and what counts have found over and above."""
        return self.made_micro + max(0, self.counted_micro)
