"""Brew sheets: how a beer is brewed, version by version."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from inventory.models import Material


class BrewSheet(models.Model):
    """One version of how a beer is brewed. A draft may change; once in use it stays, and a new version follows.

    A draft that nobody wants is discarded: it stays on record, is brewed by never, and its version is not given again.

    Amounts are those of `cold_wort_micro`, in microlitres at 20 °C, and scale with it. Gravities are in thousandths of
    a degree Plato. `yield_ppm` is the share of the grain's weight that is to be found as extract in the cold wort;
    `kraeusen_ppm` the share of green beer in the blend. `pitch_cells` is yeast cells in a millilitre of wort for each
    degree Plato. `liquor` is the water whose analysis counts, and the two volumes what of it is mashed with and sparged
    with, in microlitres at 20 °C. `revision` grows with each change, so that two people do not overwrite each other
    unseen.
    """

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        IN_USE = "in_use", "in use"
        WITHDRAWN = "withdrawn", "withdrawn"
        DISCARDED = "discarded", "discarded"

    beer = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="brew_sheets")
    version = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    revision = models.PositiveIntegerField(default=1)
    cold_wort_micro = models.BigIntegerField()
    original_gravity_milli_p = models.PositiveIntegerField()
    final_gravity_milli_p = models.PositiveIntegerField()
    bitterness_milli_bu = models.PositiveIntegerField(null=True, blank=True)
    colour_milli_ebc = models.PositiveIntegerField(null=True, blank=True)
    yield_ppm = models.PositiveIntegerField()
    boil_minutes = models.PositiveSmallIntegerField()
    evaporation_ppm = models.PositiveIntegerField(default=0)
    liquor = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    mash_liquor_micro = models.BigIntegerField(null=True, blank=True)
    sparge_liquor_micro = models.BigIntegerField(null=True, blank=True)
    yeast = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    pitch_cells = models.PositiveIntegerField(null=True, blank=True)
    kraeusen_ppm = models.PositiveIntegerField(default=0)
    is_filtered = models.BooleanField(default=False)
    formats = models.ManyToManyField(Material, blank=True, related_name="packaged_by_sheets")
    note = models.TextField(blank=True, default="")
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="brew_sheets")
    written_at = models.DateTimeField()
    put_in_use_at = models.DateTimeField(null=True, blank=True)
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("beer", "-version")
        constraints = (
            models.UniqueConstraint(fields=("beer", "version"), name="a_beer_has_each_version_of_its_sheet_once"),
            models.UniqueConstraint(
                fields=("beer",), condition=Q(state="draft"), name="a_beer_has_one_draft_of_its_sheet_at_a_time"
            ),
            models.CheckConstraint(name="a_sheet_makes_some_wort", condition=Q(cold_wort_micro__gt=0)),
            models.CheckConstraint(
                name="liquor_is_some_of_it",
                condition=(Q(mash_liquor_micro=None) | Q(mash_liquor_micro__gt=0))
                & (Q(sparge_liquor_micro=None) | Q(sparge_liquor_micro__gt=0)),
            ),
            models.CheckConstraint(
                name="a_beer_ends_below_where_it_began",
                condition=Q(final_gravity_milli_p__lt=F("original_gravity_milli_p")),
            ),
            models.CheckConstraint(
                name="shares_on_a_sheet_are_parts_of_one",
                condition=Q(yield_ppm__gt=0, yield_ppm__lte=1_000_000)
                & Q(evaporation_ppm__lt=1_000_000)
                & Q(kraeusen_ppm__lt=1_000_000),
            ),
            models.CheckConstraint(
                name="a_sheet_in_use_says_since_when",
                condition=Q(state__in=["draft", "discarded"], put_in_use_at=None)
                | Q(state__in=["in_use", "withdrawn"], put_in_use_at__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return f"version {self.version} of {self.beer}"
