"""What the record says, by codes alone, so that two databases can be held against each other."""

from typing import Any

from brewery.kernel.models import Request, User
from inventory.models import Balance, Decision, Event, Link, Location, Lot, Material, Party, Posting

WRITTEN = (Request, User, Material, Party, Location, Lot, Event, Posting, Link, Decision)


def rows_written() -> dict[str, int]:
    """Return how many rows of everything there are."""
    return {model.__name__: model._default_manager.count() for model in WRITTEN}


def record_by_codes() -> dict[str, Any]:
    """Return balances, links and lots with codes in the place of keys."""
    balances = Balance.objects.values_list("lot__code", "location__code", "quantity_micro")
    links = Link.objects.values_list("parent__code", "child__code", "kind", "quantity_micro")
    lots = Lot.objects.values_list("code", "made_micro", "counted_micro", "disposition", "generation")
    return {"balances": sorted(balances), "links": sorted(links), "lots": sorted(lots, key=str)}
