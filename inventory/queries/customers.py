"""Customers: whom to ring, how long beer must still keep for them, and what they hold."""

from collections.abc import Collection
from datetime import date

from django.db.models import QuerySet

from inventory.models import Balance, Location, Lot, Material, MinimumLife, Party, PartyContact


def current_contacts(party: Party | None = None) -> QuerySet[PartyContact]:
    """Return the contacts that nobody has replaced or ended, of one party or of all."""
    rows = PartyContact.objects.filter(replaced_by=None, is_ended=False).select_related("party", "actor")
    return rows.filter(party=party) if party else rows


def asked_lives(party: Party) -> list[MinimumLife]:
    """Return what the party asks for now: for all it buys first, then by material."""
    last: dict[int | None, MinimumLife] = {}
    for row in MinimumLife.objects.filter(party=party).select_related("material", "actor").order_by("pk"):
        last[row.material_id] = row
    asked = [row for row in last.values() if row.days is not None]
    return sorted(asked, key=lambda row: (row.material is not None, str(row.material)))


def minimum_days(party: Party, materials: Collection[Material]) -> dict[int, int | None]:
    """Return by material how many days it must still keep for the party, or None where nothing is asked."""
    asked = {row.material_id: row.days for row in asked_lives(party)}
    return {material.pk: asked.get(material.pk, asked.get(None)) for material in materials}


def life_left(lot: Lot, day: date) -> int | None:
    """Return how many days the lot still keeps on that day, or None where it has no best-before day."""
    return (lot.best_before - day).days if lot.best_before else None


def held_by(party: Party) -> QuerySet[Balance]:
    """Return what the customer holds of which lots, by the record: what was shipped and did not come back."""
    rows = Balance.objects.held().filter(location__party=party, location__kind=Location.Kind.CUSTOMER)
    return rows.select_related("lot__material").order_by("lot__material__name", "lot")
