"""Holds that stand: which lots are under which, and what their lots go back to."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import Any

from django.db.models import Count, Q, QuerySet

from brewery.kernel.database.sets import portions
from inventory.models import Decision, Lot
from inventory.models.dispositions import Disposition
from traceability.models import HeldLot, Hold


def holds() -> QuerySet[Hold]:
    """Return all holds, the newest first, each with how many lots are under it and how many ever were."""
    standing = Count("held", filter=Q(held__released_by=None))
    return Hold.objects.select_related("actor").annotate(lots_held=standing, lots_ever=Count("held"))


def standing() -> QuerySet[HeldLot, Any]:
    """Return the holds under which there still are lots, by their ids."""
    return HeldLot.objects.standing().values("hold")


def held_lots(hold: Hold) -> QuerySet[HeldLot]:
    """Return the lots that are or were under a hold."""
    return hold.held.select_related("lot__material", "released_by__actor", "event")


def holds_on(lots: Iterable[int]) -> dict[int, list[HeldLot]]:
    """Return, by lot, the holds that it is under now, the oldest first; lots that are under none are left out."""
    found: dict[int, list[HeldLot]] = defaultdict(list)
    for portion in portions(lots):
        for held in HeldLot.objects.standing().filter(lot__in=portion).select_related("hold").order_by("pk"):
            found[held.lot_id].append(held)
    return dict(found)


def dispositions_without(lots: Collection[Lot]) -> dict[int, str]:
    """Return, by lot, what may be done with it but for its holds: as somebody decided since, or as it was.

    A lot under no hold is what it is.
    """
    by_hand = _last_decided_by_hand(lots)
    under = holds_on(lot.pk for lot in lots)
    return {
        lot.pk: under[lot.pk][0].returns_to
        if lot.pk in under and lot.disposition == Disposition.ON_HOLD and lot.pk not in by_hand
        else lot.disposition
        for lot in lots
    }


def _last_decided_by_hand(lots: Collection[Lot]) -> set[int]:
    """Return the ids of the lots whose last decision is by a person, and not by a hold that put them under it."""
    last: dict[int, Decision] = {}
    by_holds: set[tuple[int, object]] = set()
    for portion in portions(lot.pk for lot in lots):
        last.update({one.lot_id: one for one in Decision.objects.filter(lot__in=portion).order_by("pk")})
        by_holds.update(HeldLot.objects.filter(lot__in=portion).values_list("lot", "request"))
    return {lot for lot, decision in last.items() if (lot, decision.request_id) not in by_holds}
