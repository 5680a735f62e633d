"""Drafts of orders: what is to be ordered from a supplier, until somebody orders it or throws the draft away."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.materials import Material
from inventory.models.orders import PurchaseOrder
from inventory.models.parties import Party
from inventory.models.supply_contracts import SupplyContract


class OrderDraft(models.Model):
    """One draft; a supplier has one that is open at the most. `revision` grows with each change."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        ORDERED = "ordered", "ordered"
        DISCARDED = "discarded", "thrown away"

    supplier = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="order_drafts")
    state = models.CharField(max_length=9, choices=State, default=State.OPEN)
    revision = models.PositiveIntegerField(default=1)
    order = models.OneToOneField(PurchaseOrder, on_delete=models.PROTECT, null=True, blank=True, related_name="draft")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("supplier",), condition=Q(state="open"), name="a_supplier_has_one_open_draft"
            ),
            models.CheckConstraint(
                name="a_draft_that_was_ordered_has_its_order",
                condition=Q(state="ordered", order__isnull=False) | (~Q(state="ordered") & Q(order=None)),
            ),
        )

    def __str__(self) -> str:
        return f"draft {self.pk}"


class OrderDraftLine(models.Model):
    """One material of a draft, by when it should come, and the contract that it is called off of."""

    draft = models.ForeignKey(OrderDraft, on_delete=models.CASCADE, related_name="lines")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    quantity_micro = models.BigIntegerField()
    due_on = models.DateField()
    contract = models.ForeignKey(SupplyContract, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ("draft", "material__code")
        constraints = (
            models.UniqueConstraint(fields=("draft", "material"), name="a_material_stands_once_in_a_draft"),
            models.CheckConstraint(name="a_drafted_line_asks_for_something", condition=Q(quantity_micro__gt=0)),
        )

    def __str__(self) -> str:
        return f"{self.draft_id}: {self.material_id}"
