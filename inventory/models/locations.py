"""Locations: the accounts of the ledger."""

from django.db import models
from django.db.models import Q

from inventory.models.materials import Material
from inventory.models.parties import Party


class LocationQuerySet(models.QuerySet["Location"]):
    """Locations, narrowed by what they are."""

    def inside(self) -> "LocationQuerySet":
        """Those that are part of the brewery's stock."""
        return self.filter(kind__in=Location.INSIDE)

    def vessels(self) -> "LocationQuerySet":
        """Those that are filled, emptied and cleaned: tanks, brinks and silos."""
        return self.filter(kind__in=Location.VESSELS)

    def tanks(self) -> "LocationQuerySet":
        """Those that hold beer or wort."""
        return self.filter(kind__in=Location.TANKS)


class Location(models.Model):
    """One account that a lot may lie in: a place, a brew or run in process, a party, or a boundary of the stock.

    `band_micro` is how much on either side of where two layers of a silo meet may hold some of the other.
    `holds_one_lot` is true of tanks, brinks and mixed silos. `may_go_below_zero` is true of the boundaries that lots
    come out of: suppliers, transformation, count differences. Neither changes once the location exists. The kinds of
    `ENTERED` are entered in the register; brews, runs and pallets make places of their own.
    """

    class Kind(models.TextChoices):
        STORE = "store", "store"
        SILO = "silo", "silo"
        FERMENTER = "fermenter", "fermenter"
        BRIGHT_TANK = "bright_tank", "bright tank"
        BRINK = "brink", "yeast brink"
        PROCESS = "process", "in process"
        PALLET = "pallet", "pallet"
        LABORATORY = "laboratory", "laboratory"
        CUSTOMER = "customer", "customer"
        SUPPLIER = "supplier", "supplier"
        TRANSFORMED = "transformed", "transformed"
        LOSS = "loss", "loss"
        DESTROYED = "destroyed", "destroyed"
        SENT_BACK = "sent_back", "sent back to suppliers"
        COUNT_DIFFERENCE = "count_difference", "count difference"

    class Filling(models.TextChoices):
        MIXED = "mixed", "mixed: each refill makes a new lot of the contents"
        LAYERED = "layered", "layered: deliveries stay apart, the oldest is drawn first"

    TANKS = (Kind.FERMENTER, Kind.BRIGHT_TANK)
    ONE_LOT = (*TANKS, Kind.BRINK)
    VESSELS = (*ONE_LOT, Kind.SILO)
    STOCK = (Kind.STORE, Kind.SILO, Kind.BRINK, Kind.PALLET)
    ON_HAND = (*STOCK, *TANKS)
    INSIDE = (*ON_HAND, Kind.PROCESS, Kind.LABORATORY)
    ENTERED = (Kind.STORE, Kind.SILO, Kind.BRINK, *TANKS, Kind.LABORATORY)
    ORIGINS = (Kind.SUPPLIER, Kind.TRANSFORMED, Kind.COUNT_DIFFERENCE)
    BOUNDARIES = (*ORIGINS, Kind.CUSTOMER, Kind.LOSS, Kind.DESTROYED, Kind.SENT_BACK)
    CONSUMING = (Kind.PROCESS, Kind.TRANSFORMED, Kind.CUSTOMER)

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=16, choices=Kind)
    filling = models.CharField(max_length=7, choices=Filling, blank=True, default="")
    holds_one_lot = models.BooleanField(default=False)
    may_go_below_zero = models.BooleanField(default=False)
    capacity_micro = models.BigIntegerField(null=True, blank=True)
    capacity_unit = models.CharField(max_length=4, choices=Material.BaseUnit, blank=True, default="")
    nominal_milli_c = models.IntegerField(
        null=True,
        blank=True,
        help_text="How warm it was kept when it was entered, in thousandths of a degree Celsius.",
    )
    band_micro = models.BigIntegerField(
        null=True, blank=True, help_text="Where two layers of a silo meet, how much may hold some of both, in mg."
    )
    must_be_cleaned = models.BooleanField(
        default=False, help_text="Whether it must be cleaned after each use, before something else goes in."
    )
    party = models.ForeignKey(Party, on_delete=models.PROTECT, null=True, blank=True, related_name="locations")

    objects = LocationQuerySet.as_manager()

    class Meta:
        ordering = ("code",)
        constraints = (
            models.CheckConstraint(
                name="only_silos_say_how_they_fill",
                condition=(Q(kind="silo") & ~Q(filling="")) | (~Q(kind="silo") & Q(filling="")),
            ),
            models.CheckConstraint(
                name="only_layered_silos_have_a_band",
                condition=Q(band_micro=None) | Q(band_micro__gt=0, filling="layered"),
            ),
            models.CheckConstraint(
                name="only_vessels_must_be_cleaned",
                condition=Q(must_be_cleaned=False) | Q(kind__in=["fermenter", "bright_tank", "brink", "silo"]),
            ),
            models.CheckConstraint(
                name="tanks_and_mixed_silos_hold_one_lot",
                condition=Q(holds_one_lot=True, kind__in=["fermenter", "bright_tank", "brink"])
                | Q(holds_one_lot=True, filling="mixed")
                | Q(
                    ~Q(kind__in=["fermenter", "bright_tank", "brink"]) & ~Q(filling="mixed"),
                    holds_one_lot=False,
                ),
            ),
            models.CheckConstraint(
                name="only_origins_may_go_below_zero",
                condition=Q(may_go_below_zero=True, kind__in=["supplier", "transformed", "count_difference"])
                | Q(~Q(kind__in=["supplier", "transformed", "count_difference"]), may_go_below_zero=False),
            ),
            models.CheckConstraint(
                name="parties_locations_name_their_party",
                condition=Q(kind__in=["supplier", "customer"], party__isnull=False)
                | Q(~Q(kind__in=["supplier", "customer"]), party=None),
            ),
            models.UniqueConstraint(fields=("party", "kind"), name="one_location_a_party_and_kind"),
            models.UniqueConstraint(
                fields=("kind",),
                condition=Q(kind__in=["transformed", "loss", "destroyed", "sent_back", "count_difference"]),
                name="one_location_a_boundary",
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def is_inside(self) -> bool:
        """Whether what lies here is the brewery's stock."""
        return self.kind in self.INSIDE
