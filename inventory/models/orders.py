"""Purchase orders: what is expected from a supplier, and by when."""

from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.materials import Material
from inventory.models.parties import Party
from inventory.models.supply_contracts import SupplyContract


class PurchaseOrder(models.Model):
    """One order with a supplier. It is open until all of it has come, or somebody closes it with a reason."""

    number = models.CharField(max_length=40, unique=True)
    supplier = models.ForeignKey(Party, on_delete=models.PROTECT, related_name="orders")
    ordered_on = models.DateField()
    note = models.CharField(max_length=200, blank=True, default="")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True, default="")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-ordered_on", "number")

    def __str__(self) -> str:
        return self.number


class OrderLine(models.Model):
    """One material of an order. What has come of it is the sum of the booked delivery lines that name it."""

    order = models.ForeignKey(PurchaseOrder, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="order_lines")
    quantity_micro = models.BigIntegerField()
    due_on = models.DateField()
    supplier_reference = models.CharField(max_length=60, blank=True, default="")
    contract = models.ForeignKey(
        SupplyContract, on_delete=models.PROTECT, null=True, blank=True, related_name="order_lines"
    )

    class Meta:
        ordering = ("order", "position")
        constraints = (
            models.UniqueConstraint(fields=("order", "position"), name="one_order_line_a_position"),
            models.CheckConstraint(name="an_order_line_asks_for_something", condition=Q(quantity_micro__gt=0)),
        )

    def __str__(self) -> str:
        return f"{self.order_id}/{self.position}"
