"""Certificates of analysis: what was measured of a lot, by whom and how, and what a material must keep to."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.lots import Lot
from inventory.models.materials import Material


class Certificate(models.Model):
    """One certificate of one lot. Never changed: a correction is a new certificate that replaces it.

    What brewers count themselves is kept here too, with `OWN_COUNT` for a laboratory.
    """

    OWN_COUNT = "own count"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="certificates")
    number = models.CharField(max_length=60, blank=True, default="")
    laboratory = models.CharField(max_length=120, blank=True, default="")
    issued_on = models.DateField(null=True, blank=True)
    replaces = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="certificates")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-recorded_at", "-pk")

    def __str__(self) -> str:
        return self.number or f"certificate {self.pk}"

    @property
    def is_own_count(self) -> bool:
        """Whether brewers counted it themselves: no laboratory did."""
        return self.laboratory == self.OWN_COUNT


class CertificateValue(models.Model):
    """One property as measured: a number in millionths of the property's unit, or a word. Never changed.

    `bound` says that the true figure lies below or above what is written, as in "< 0.1".
    """

    class Bound(models.TextChoices):
        EXACT = "", "as measured"
        BELOW = "<", "below"
        ABOVE = ">", "above"

    certificate = models.ForeignKey(Certificate, on_delete=models.PROTECT, related_name="values")
    property = models.CharField(max_length=40)
    value_micro = models.BigIntegerField(null=True, blank=True)
    bound = models.CharField(max_length=1, choices=Bound, blank=True, default=Bound.EXACT)
    text = models.CharField(max_length=120, blank=True, default="")
    method = models.CharField(max_length=60, blank=True, default="")

    class Meta:
        ordering = ("certificate", "pk")
        constraints = (
            models.UniqueConstraint(fields=("certificate", "property"), name="a_certificate_says_each_thing_once"),
            models.CheckConstraint(
                name="a_value_is_a_number_or_a_word",
                condition=Q(value_micro__isnull=False, text="") | Q(~Q(text=""), value_micro=None),
            ),
        )

    def __str__(self) -> str:
        return f"{self.property} {self.value_micro if self.text == '' else self.text}"


class Specification(models.Model):
    """What one property of a material must keep to, from a day on; the newest that is in force counts. Never changed.

    Without a limit it must be stated and may be anything. `is_withdrawn` says that it is asked for no longer.
    """

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="specifications")
    property = models.CharField(max_length=40)
    least_micro = models.BigIntegerField(null=True, blank=True)
    most_micro = models.BigIntegerField(null=True, blank=True)
    is_withdrawn = models.BooleanField(default=False)
    in_force_from = models.DateField()
    source = models.CharField(max_length=200, blank=True, default="")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("material", "property", "-in_force_from", "-pk")
        constraints = (
            models.CheckConstraint(
                name="what_is_withdrawn_has_no_limits",
                condition=Q(is_withdrawn=False) | Q(least_micro=None, most_micro=None),
            ),
            models.CheckConstraint(
                name="a_specification_leaves_room",
                condition=Q(least_micro=None) | Q(most_micro=None) | Q(least_micro__lte=models.F("most_micro")),
            ),
        )

    def __str__(self) -> str:
        return f"{self.material_id} {self.property}"
