"""Materials: what a lot is of."""

from django.db import models
from django.db.models import Q

from inventory.models.dispositions import Disposition


class Material(models.Model):
    """One kind of stuff: a malt, a hop, a yeast strain, a salt, a crown, a wort, a beer, a filled keg."""

    class Kind(models.TextChoices):
        MALT = "malt", "malt"
        ADJUNCT = "adjunct", "adjunct"
        HOP = "hop", "hop"
        YEAST = "yeast", "yeast"
        WATER = "water", "water"
        SALT = "salt", "salt"
        FINING = "fining", "fining"
        FILTER_AID = "filter_aid", "filter aid"
        PACKAGING = "packaging", "packaging material"
        WORT = "wort", "wort"
        BEER = "beer", "beer"
        PACKAGED = "packaged", "packaged beer"

    class BaseUnit(models.TextChoices):
        KG = "kg", "kg"
        L = "L", "L"
        EACH = "each", "each"

    class Container(models.TextChoices):
        KEG = "keg", "keg"
        CASK = "cask", "cask"
        BOTTLES = "bottles", "bottles"
        CANS = "cans", "cans"

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=12, choices=Kind)
    base_unit = models.CharField(max_length=4, choices=BaseUnit)
    arrives = models.CharField(max_length=12, choices=Disposition, default=Disposition.QUARANTINED)
    contents_micro = models.BigIntegerField(
        null=True, blank=True, help_text="Beer in one packaged each, in millionths of a litre."
    )

    delivery_tolerance_ppm = models.PositiveIntegerField(
        default=20_000, help_text="How far a weighed quantity may lie from the delivery note, in millionths."
    )
    count_tolerance_ppm = models.PositiveIntegerField(
        default=20_000,
        help_text="How far a count may lie from the book before a second person approves, in millionths.",
    )
    warmest_arrival_milli_c = models.IntegerField(
        null=True, blank=True, help_text="The warmest that it may arrive, in thousandths of a degree Celsius."
    )
    shelf_life_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="How long it keeps from when it was made or came, where nothing else is said."
    )
    told_days_before = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="How many days before its best-before day it is told of; else as usual."
    )
    open_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="How many days a pack of it may be open; else as its kind usually may."
    )
    allergens = models.JSONField(default=list, blank=True)
    allergens_exempt_in_eu = models.JSONField(default=list, blank=True)
    is_of_animal_origin = models.BooleanField(default=False)
    claims = models.JSONField(default=list, blank=True)
    salt = models.CharField(
        max_length=20,
        blank=True,
        default="",
        help_text="Which brewing salt it is: the formula with its water of crystallisation.",
    )
    container = models.CharField(
        max_length=8, choices=Container, blank=True, default="", help_text="What packaged beer is filled into."
    )

    class Meta:
        ordering = ("code",)
        constraints = (
            models.CheckConstraint(
                name="only_packaged_beer_has_contents",
                condition=Q(kind="packaged", contents_micro__gt=0, base_unit="each")
                | (~Q(kind="packaged") & Q(contents_micro=None)),
            ),
            models.CheckConstraint(
                name="only_packaged_beer_has_a_container", condition=Q(kind="packaged") | Q(container="")
            ),
            models.CheckConstraint(name="only_a_salt_says_which_salt_it_is", condition=Q(kind="salt") | Q(salt="")),
        )

    def __str__(self) -> str:
        return self.name
