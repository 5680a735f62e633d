"""Balances: where every lot is now."""

from django.db import models
from django.db.models import Q

from inventory.models.locations import Location
from inventory.models.lots import Lot


class BalanceQuerySet(models.QuerySet["Balance"]):
    """Balances, narrowed by what they hold and where."""

    def held(self) -> "BalanceQuerySet":
        """Those where something lies in a place of its own: inside, at a customer, lost, destroyed."""
        return self.filter(quantity_micro__gt=0, may_go_below_zero=False)

    def inside(self) -> "BalanceQuerySet":
        """Those where something lies inside the brewery."""
        return self.held().filter(location__kind__in=Location.INSIDE)

    def on_hand(self) -> "BalanceQuerySet":
        """Those where something lies in a place that is counted: what is drawn or sampled lies there no longer."""
        return self.held().filter(location__kind__in=Location.ON_HAND)


class Balance(models.Model):
    """The running sum of postings for one lot at one location. Written by a database trigger, by nothing else.

    The two flags are the location's own, repeated here so that the database can hold the rules below.
    """

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="balances", db_index=False)
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="balances", db_index=False)
    quantity_micro = models.BigIntegerField(default=0)
    holds_one_lot = models.BooleanField(default=False)
    may_go_below_zero = models.BooleanField(default=False)

    objects = BalanceQuerySet.as_manager()

    class Meta:
        ordering = ("id",)
        constraints = (
            models.UniqueConstraint(fields=("lot", "location"), name="one_balance_a_lot_and_location"),
            models.CheckConstraint(
                name="balance_is_never_below_zero",
                condition=Q(quantity_micro__gte=0) | Q(may_go_below_zero=True),
            ),
            models.UniqueConstraint(
                fields=("location",),
                condition=Q(holds_one_lot=True, quantity_micro__gt=0),
                name="a_vessel_holds_one_lot",
            ),
        )
        indexes = (
            models.Index(
                fields=("lot",),
                include=("location", "quantity_micro"),
                condition=Q(quantity_micro__gt=0, may_go_below_zero=False),
                name="balance_where_it_lies",
            ),
            models.Index(fields=("location", "lot"), condition=Q(quantity_micro__gt=0), name="balance_what_lies_here"),
        )

    def __str__(self) -> str:
        return f"balance {self.pk}"
