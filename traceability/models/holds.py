"""Holds on a lot and on everything downstream of it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models import Event, Lot
from inventory.models.dispositions import Disposition
from traceability.models.follows import Follows, follows_something


class Hold(Follows):
    """One hold: from which lots, over which links, why, by whom. Never changed; it is over once all lots are released.

    `reference` is what it belongs to outside: a complaint, a laboratory's report.
    """

    reason = models.TextField()
    reference = models.CharField(max_length=60, blank=True, default="")
    placed_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-id",)
        constraints = (
            follows_something("a_hold_follows_some_links"),
            models.CheckConstraint(name="a_hold_has_its_reason", condition=~Q(reason="")),
        )

    def __str__(self) -> str:
        return f"hold {self.pk}"


class HoldRelease(models.Model):
    """One release from a hold, of all its lots or of some; they name it. Never changed."""

    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, related_name="releases")
    reason = models.TextField()
    released_at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("id",)
        constraints = (models.CheckConstraint(name="a_release_from_a_hold_has_its_reason", condition=~Q(reason="")),)

    def __str__(self) -> str:
        return f"release {self.pk} of {self.hold_id}"


class HeldLotQuerySet(models.QuerySet["HeldLot"]):
    """Lots under holds, narrowed by whether they still are."""

    def standing(self) -> "HeldLotQuerySet":
        """Those that were not released."""
        return self.filter(released_by=None)


class HeldLot(models.Model):
    """One lot under one hold. Only the mark of its release ever changes.

    `event` made the lot of one that was held already; without it the lot was there when the hold was placed.
    `returns_to` is what may be done with the lot once no hold is left.
    """

    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, related_name="held")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="holds")
    is_start = models.BooleanField()
    returns_to = models.CharField(max_length=12, choices=Disposition)
    event = models.ForeignKey(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    held_at = models.DateTimeField()
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")
    released_by = models.ForeignKey(HoldRelease, on_delete=models.PROTECT, null=True, blank=True, related_name="lots")

    objects = HeldLotQuerySet.as_manager()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(fields=("hold", "lot"), name="a_lot_is_under_a_hold_once"),
            models.CheckConstraint(
                name="what_a_hold_started_from_was_there", condition=Q(is_start=False) | Q(event=None)
            ),
        )
        indexes = (models.Index(fields=("lot",), condition=Q(released_by=None), name="held_lot_standing"),)

    def __str__(self) -> str:
        return f"{self.lot_id} under {self.hold_id}"
