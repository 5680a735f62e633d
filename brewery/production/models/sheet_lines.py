"""What a brew sheet lists: grain, hops, salts, the liquor's ions, the mash, and the days in the cellar."""

from django.db import models
from django.db.models import Q

from brewery.production.models.sheets import BrewSheet
from inventory.models import Material

ONE_OF_TWO = Q(share_ppm__gt=0, share_ppm__lte=1_000_000, weight_micro=None) | Q(share_ppm=None, weight_micro__gt=0)
WEIGHT_OR_ALPHA = Q(weight_micro__gt=0, alpha_micro=None) | Q(weight_micro=None, alpha_micro__gt=0)


class SheetGrain(models.Model):
    """One malt or adjunct: its share of the grain by weight, in millionths, or its weight in milligrams."""

    sheet = models.ForeignKey(BrewSheet, on_delete=models.CASCADE, related_name="grains")
    position = models.PositiveSmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    share_ppm = models.PositiveIntegerField(null=True, blank=True)
    weight_micro = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ("sheet", "position")
        constraints = (
            models.UniqueConstraint(fields=("sheet", "material"), name="a_grain_stands_once_on_a_sheet"),
            models.CheckConstraint(name="grain_has_a_share_or_a_weight", condition=ONE_OF_TWO),
        )

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.material_id}"


class SheetHop(models.Model):
    """One hop addition: a weight, or the weight of its alpha acids, in milligrams.

    `minutes` is the time in the boil or in the whirlpool, or in the cold; `temperature_milli_c` that of the wort or
    beer, where it is not boiling.
    """

    class Stage(models.TextChoices):
        FIRST_WORT = "first_wort", "first wort"
        BOIL = "boil", "boil"
        WHIRLPOOL = "whirlpool", "whirlpool"
        COLD = "cold", "in the cold"

    sheet = models.ForeignKey(BrewSheet, on_delete=models.CASCADE, related_name="hops")
    position = models.PositiveSmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    stage = models.CharField(max_length=10, choices=Stage)
    minutes = models.PositiveIntegerField()
    temperature_milli_c = models.IntegerField(null=True, blank=True)
    weight_micro = models.BigIntegerField(null=True, blank=True)
    alpha_micro = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ("sheet", "position")
        constraints = (
            models.CheckConstraint(name="hops_have_a_weight_or_an_amount_of_alpha", condition=WEIGHT_OR_ALPHA),
        )

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.material_id} {self.stage}"


class SheetSalt(models.Model):
    """One salt or acid that goes into the liquor, the mash or the kettle, in micro-units of its material."""

    class Into(models.TextChoices):
        MASH = "mash", "mash liquor"
        SPARGE = "sparge", "sparge liquor"
        KETTLE = "kettle", "kettle"

    sheet = models.ForeignKey(BrewSheet, on_delete=models.CASCADE, related_name="salts")
    position = models.PositiveSmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    into = models.CharField(max_length=6, choices=Into)
    quantity_micro = models.BigIntegerField()

    class Meta:
        ordering = ("sheet", "position")
        constraints = (
            models.UniqueConstraint(fields=("sheet", "material", "into"), name="a_salt_stands_once_for_each_liquor"),
            models.CheckConstraint(name="a_salt_is_some_of_it", condition=Q(quantity_micro__gt=0)),
        )

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.material_id}"


class SheetIon(models.Model):
    """What the brewing liquor is to hold of one ion, in thousandths of a milligram a litre."""

    class Ion(models.TextChoices):
        CALCIUM = "calcium", "calcium"
        MAGNESIUM = "magnesium", "magnesium"
        SODIUM = "sodium", "sodium"
        SULFATE = "sulfate", "sulfate"
        CHLORIDE = "chloride", "chloride"
        BICARBONATE = "bicarbonate", "bicarbonate"

    sheet = models.ForeignKey(BrewSheet, on_delete=models.CASCADE, related_name="ions")
    ion = models.CharField(max_length=12, choices=Ion)
    milli_mg_per_l = models.PositiveIntegerField()

    class Meta:
        ordering = ("sheet", "ion")
        constraints = (models.UniqueConstraint(fields=("sheet", "ion"), name="a_sheet_says_each_ion_once"),)

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.ion}"


class MashStep(models.Model):
    """One step of the mash. In a decoction `share_ppm` of the mash is drawn off, rested and boiled, and put back."""

    class Vessel(models.TextChoices):
        MASH_TUN = "mash_tun", "mash tun"
        MASH_KETTLE = "mash_kettle", "mash kettle"
        LAUTER_TUN = "lauter_tun", "lauter tun"

    class Action(models.TextChoices):
        MASH_IN = "mash_in", "mash in"
        REST = "rest", "rest"
        DRAW_OFF = "draw_off", "draw off"
        BOIL = "boil", "boil"
        PUT_BACK = "put_back", "put back"
        MASH_OUT = "mash_out", "mash out"
        SPARGE = "sparge", "sparge"

    sheet = models.ForeignKey(BrewSheet, on_delete=models.CASCADE, related_name="mash_steps")
    position = models.PositiveSmallIntegerField()
    vessel = models.CharField(max_length=11, choices=Vessel)
    action = models.CharField(max_length=8, choices=Action)
    temperature_milli_c = models.IntegerField()
    minutes = models.PositiveSmallIntegerField()
    share_ppm = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ("sheet", "position")
        constraints = (
            models.CheckConstraint(
                name="only_a_part_that_is_drawn_off_has_a_share",
                condition=Q(action="draw_off", share_ppm__gt=0, share_ppm__lt=1_000_000)
                | (~Q(action="draw_off") & Q(share_ppm=None)),
            ),
        )

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.action}"


class CellarStep(models.Model):
    """One stretch of days in the cellar, at one temperature."""

    class Phase(models.TextChoices):
        FERMENTATION = "fermentation", "fermentation"
        DIACETYL_REST = "diacetyl_rest", "diacetyl rest"
        COOLING = "cooling", "cooling"
        MATURATION = "maturation", "maturation"

    sheet = models.ForeignKey(BrewSheet, on_delete=models.CASCADE, related_name="cellar_steps")
    position = models.PositiveSmallIntegerField()
    phase = models.CharField(max_length=13, choices=Phase)
    temperature_milli_c = models.IntegerField()
    days = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ("sheet", "position")

    def __str__(self) -> str:
        return f"{self.sheet_id}: {self.phase}"
