"""Links: which lot became part of which."""

from django.db import models
from django.db.models import F, Q

from inventory.models.events import Event
from inventory.models.lots import Lot


class Link(models.Model):
    """One lot became part of another, or passed something on to it. Never changed, but for the mark of a reversal.

    `quantity_micro` is how much of the parent went across, in the parent's own unit: nothing along a culture, and
    nothing measured where a residue was carried over that nobody could weigh. A parent is older than its child, so the
    graph has no cycle and the order of lot ids is an order of time.
    """

    class Kind(models.IntegerChoices):
        INGREDIENT = 1, "ingredient"
        CULTURE = 2, "culture"
        CARRYOVER = 3, "carryover"

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="links")
    parent = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="links_to_children", db_index=False)
    child = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="links_to_parents", db_index=False)
    kind = models.PositiveSmallIntegerField(choices=Kind)
    quantity_micro = models.BigIntegerField()
    reversed_by = models.ForeignKey(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ("id",)
        constraints = (
            models.CheckConstraint(name="a_parent_is_older_than_its_child", condition=Q(parent__lt=F("child"))),
            models.CheckConstraint(
                name="an_ingredient_carries_a_quantity_and_a_culture_none",
                condition=Q(kind=1, quantity_micro__gt=0)
                | Q(kind=2, quantity_micro=0)
                | Q(kind=3, quantity_micro__gte=0),
            ),
            models.UniqueConstraint(fields=("child", "parent", "kind"), name="one_link_a_pair_and_kind"),
        )
        indexes = (
            models.Index(
                fields=("child",),
                include=("parent", "kind", "quantity_micro"),
                condition=Q(reversed_by=None),
                name="link_back",
            ),
            models.Index(
                fields=("parent",),
                include=("child", "kind", "quantity_micro"),
                condition=Q(reversed_by=None),
                name="link_forward",
            ),
        )

    def __str__(self) -> str:
        return f"{self.parent_id} → {self.child_id}"
