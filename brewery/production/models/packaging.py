"""What a filling line records: fills, tanks that were filled from, ends of runs, code rules, retained samples."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from brewery.kernel.models import Request
from brewery.production.models.runs import PackagingRun
from brewery.science.lot_patterns import Span
from inventory.models import Event, Location, Lot, Material


class PackagingFill(models.Model):
    """One fill of a run: one event, one packaged lot. Never changed; it counts until its event is reversed.

    `rejects` were filled and thrown out. `loss_micro` is the beer that left the tanks and is in no package, that of
    the rejects included.
    """

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="packaging_fill")
    run = models.ForeignKey(PackagingRun, on_delete=models.PROTECT, related_name="fills")
    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, related_name="packaging_fill")
    count = models.PositiveIntegerField()
    rejects = models.PositiveIntegerField(default=0)
    loss_micro = models.BigIntegerField(default=0)
    line = models.CharField(max_length=8, blank=True, default="")
    began_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(name="a_fill_is_of_some", condition=Q(count__gt=0)),
            models.CheckConstraint(name="a_fill_loses_no_less_than_nothing", condition=Q(loss_micro__gte=0)),
        )

    def __str__(self) -> str:
        return f"fill {self.pk}"


class FilledTank(models.Model):
    """One tank that a fill drew on: what left it, and what the gauges said where they were read. Never changed."""

    fill = models.ForeignKey(PackagingFill, on_delete=models.PROTECT, related_name="tanks")
    vessel = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    left_micro = models.BigIntegerField()
    gauge_start_micro = models.BigIntegerField(null=True, blank=True)
    gauge_end_micro = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("fill", "vessel"), name="a_fill_names_a_tank_once"),
            models.CheckConstraint(name="something_left_the_tank", condition=Q(left_micro__gt=0)),
            models.CheckConstraint(
                name="gauges_come_in_pairs",
                condition=Q(gauge_start_micro=None, gauge_end_micro=None)
                | Q(gauge_end_micro__gte=0, gauge_start_micro__gt=F("gauge_end_micro")),
            ),
        )

    def __str__(self) -> str:
        return f"{self.fill_id}: {self.vessel_id}"


class RunFinish(models.Model):
    """The end of a run. Never changed; it holds until its event is reversed, or something lies in the run again."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="run_finish")
    run = models.ForeignKey(PackagingRun, on_delete=models.PROTECT, related_name="finishes")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"end of {self.run_id}"


class PackagingRule(models.Model):
    """How lots of one packaged material, or of all, are coded and how long they keep. The newest in force counts.

    Never changed: a new rule takes over from its day on. Without a `life` the material's own shelf life counts.
    """

    material = models.ForeignKey(
        Material, on_delete=models.PROTECT, null=True, blank=True, related_name="packaging_rules"
    )
    pattern = models.CharField(max_length=80)
    has_l_prefix = models.BooleanField(default=False)
    life = models.PositiveSmallIntegerField(null=True, blank=True)
    life_in = models.CharField(
        max_length=6, choices=[(span.value, span.value) for span in Span], default=Span.DAYS.value
    )
    to_months_end = models.BooleanField(default=False)
    in_force_from = models.DateField()
    set_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-in_force_from", "-pk")
        constraints = (models.CheckConstraint(name="a_life_is_some_time", condition=Q(life=None) | Q(life__gt=0)),)

    def __str__(self) -> str:
        return self.pattern


class RetainedSample(models.Model):
    """So many of a packaged lot, kept at a laboratory's place until a day. Counts until its event is reversed."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="retained_sample")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="retained_samples")
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    shelf = models.CharField(max_length=40, blank=True, default="")
    count = models.PositiveIntegerField()
    keep_until = models.DateField()

    class Meta:
        ordering = ("keep_until", "pk")
        constraints = (models.CheckConstraint(name="a_retained_sample_is_of_some", condition=Q(count__gt=0)),)

    def __str__(self) -> str:
        return f"{self.count} of {self.lot_id}"


class SampleDisposal(models.Model):
    """A retained sample thrown away. Counts until its event is reversed."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="sample_disposal")
    sample = models.ForeignKey(RetainedSample, on_delete=models.PROTECT, related_name="disposals")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"disposal of {self.sample_id}"
