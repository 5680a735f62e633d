"""What is on hand and when it crosses its limits, as it is kept."""

from typing import Any

from django.db.models import F, OuterRef, QuerySet, Subquery

from inventory.models import Balance, Keeping


def keepings(rule: str = "") -> QuerySet[Any]:
    """Return the parts of lots with what lies there as `held_micro`: those that cross first, and then the others."""
    held = Balance.objects.filter(lot=OuterRef("lot"), location=OuterRef("location"))
    rows = Keeping.objects.select_related("lot__material", "location")
    if rule:
        rows = rows.filter(rule=rule)
    rows = rows.annotate(held_micro=Subquery(held.values("quantity_micro")[:1]))
    return rows.order_by(F("crosses_at").asc(nulls_last=True), "pk")
