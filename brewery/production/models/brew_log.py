"""The log of a brew day: what was done and measured, when and by whom."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from brewery.production.models.brews import Brew
from inventory.models import Event, Lot, Material


class LogEntry(models.Model):
    """One line of a brew's log. Never changed: a correction is a line that replaces it, and says why.

    A reading has a property and a value in millionths of the property's unit; any other line has words.
    """

    class Step(models.TextChoices):
        MASH = "mash", "mash"
        LAUTER = "lauter", "lauter"
        FIRST_WORT = "first_wort", "first wort"
        LAST_RUNNINGS = "last_runnings", "last runnings"
        KETTLE_FULL = "kettle_full", "kettle full"
        BOIL = "boil", "boil"
        CAST_OUT = "cast_out", "cast out"
        WHIRLPOOL = "whirlpool", "whirlpool"
        KNOCK_OUT = "knock_out", "knock-out"
        PITCHED = "pitched", "pitched"
        FINISHED = "finished", "finished beer"

    class Property(models.TextChoices):
        TEMPERATURE = "temperature", "temperature"
        VOLUME = "volume", "volume"
        GRAVITY = "gravity", "gravity"
        PH = "ph", "pH"
        BITTERNESS = "bitterness", "bitterness"
        COLOUR = "colour", "colour"
        OXYGEN = "oxygen", "dissolved oxygen"

    brew = models.ForeignKey(Brew, on_delete=models.PROTECT, related_name="log")
    step = models.CharField(max_length=13, choices=Step)
    happened_at = models.DateTimeField()
    vessel = models.CharField(max_length=40, blank=True, default="")
    property = models.CharField(max_length=11, choices=Property, blank=True, default="")
    value_micro = models.BigIntegerField(null=True, blank=True)
    is_hot = models.BooleanField(default=False, help_text="A volume read near boiling, not at 20 °C.")
    words = models.CharField(max_length=200, blank=True, default="")
    replaces = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    reason = models.CharField(max_length=200, blank=True, default="")
    recorded_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="brew_log")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("happened_at", "pk")
        constraints = (
            models.CheckConstraint(
                name="a_log_line_is_a_reading_or_words",
                condition=(~Q(property="") & Q(value_micro__isnull=False))
                | (Q(property="", value_micro=None) & ~Q(words="")),
            ),
            models.CheckConstraint(
                name="a_corrected_log_line_says_why",
                condition=Q(replaces=None, reason="") | (~Q(replaces=None) & ~Q(reason="")),
            ),
        )

    def __str__(self) -> str:
        return f"{self.brew_id}: {self.step}"


class Substitution(models.Model):
    """A lot drawn for a brew in place of the material that its sheet asks for. Never changed."""

    brew = models.ForeignKey(Brew, on_delete=models.PROTECT, related_name="substitutions")
    wanted = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="substitutions")
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("event", "wanted", "lot"), name="a_lot_stands_in_for_a_material_once_in_a_draw"
            ),
            models.CheckConstraint(name="a_substitution_has_a_reason", condition=~Q(reason="")),
        )

    def __str__(self) -> str:
        return f"{self.brew_id}: {self.lot_id} for {self.wanted_id}"
