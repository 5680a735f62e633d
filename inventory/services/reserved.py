"""The rule that reservations keep: what is taken from stock leaves what is kept for something else."""

from collections import defaultdict
from collections.abc import Sequence

from django.db.models import Sum

from brewery.kernel.clock import brewery_day
from inventory.models import Balance, Event, Location, Lot, Posting, Reservation
from inventory.queries.reservations import Kept, kept_for_others, kept_now
from inventory.services.checks import shown
from inventory.services.refusals import LotReserved


def refuse_reserved(event: Event, postings: Sequence[Posting]) -> None:
    """Raise LotReserved where what is taken from stock would leave less than is kept for something else.

    What goes to the place that a reservation names as its purpose is taken from what it keeps. A silo's refill makes
    new contents of all that lies there, and keeps nothing.
    """
    if event.override_reason or event.kind in (Event.Kind.REVERSE, Event.Kind.RECEIVE, Event.Kind.REFILL):
        return
    taken: dict[int, int] = defaultdict(int)
    for posting in postings:
        if posting.from_location.kind in Location.STOCK and posting.to_location.kind in Location.CONSUMING:
            taken[posting.lot_id] += posting.quantity_micro
    lots = {posting.lot_id: posting.lot for posting in postings if posting.lot_id in taken}
    if not Reservation.objects.filter(lot__in=lots, let_go_at=None).exists():
        return  # as for most lots, and asked more cheaply than what is left of each
    kept = kept_now(brewery_day(), lots.values())
    others = kept_for_others(kept, {posting.to_location.code for posting in postings})
    for key, lot in lots.items():
        _refuse_kept(lot, taken[key], [one for one in others if one.reservation.lot_id == key])


def _refuse_kept(lot: Lot, taken_micro: int, kept: Sequence[Kept]) -> None:
    if not kept:
        return
    kept_micro = sum(one.kept_micro for one in kept)
    free = on_hand_micro(lot) - kept_micro
    if taken_micro > free:
        raise LotReserved(
            lot=lot.code,
            kept=shown(kept_micro, lot),
            purposes=" and ".join(sorted({one.reservation.purpose for one in kept})),
            free=shown(max(0, free), lot),
            asked=shown(taken_micro, lot),
            field="quantity",
        )


def on_hand_micro(lot: Lot) -> int:
    """Return what is on hand of a locked lot."""
    return int(Balance.objects.on_hand().filter(lot=lot).aggregate(sum=Sum("quantity_micro", default=0))["sum"])
