"""Reservations: what of the lots is spoken for now, and how much of it has been taken."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from inventory.models import Event, Location, Lot, Posting, Reservation


@dataclass(frozen=True)
class Kept:
    """A reservation that still keeps something, and how much, in micro-units of its lot."""

    reservation: Reservation
    kept_micro: int

    @property
    def taken_micro(self) -> int:
        """What was taken for its purpose."""
        return self.reservation.quantity_micro - self.kept_micro


def kept_now(today: date, lots: Iterable[Lot] | None = None) -> list[Kept]:
    """Return the reservations that keep something today, of all lots or of those named, the first to end first.

    What goes out of stock for the place that the purpose names (a brew, a run, a tank, a customer) is taken from the
    reservation, what comes back from there is kept again, and what was reversed never counted.
    """
    rows = reservations_with_taken().filter(Q(until=None) | Q(until__gte=today), let_go_at=None)
    if lots is not None:
        rows = rows.filter(lot__in=list(lots))
    return [Kept(row, kept) for row in rows.order_by("until", "pk") if (kept := kept_micro(row, today))]


def reservations_with_taken() -> QuerySet[Reservation]:
    """Return the reservations with their lots, each with what `kept_micro` needs: one statement however many."""
    rows = Reservation.objects.annotate(went_micro=_sum(_went()), came_micro=_sum(_came()))
    return rows.select_related("lot__material", "actor")


def kept_micro(row: Reservation, today: date) -> int:
    """Return what a reservation of `reservations_with_taken` keeps on that day."""
    if row.let_go_at or (row.until and row.until < today):
        return 0
    sums = vars(row)
    taken = int(sums["went_micro"]) - int(sums["came_micro"])
    return max(0, row.quantity_micro - max(0, taken))


def reserved_by_lot(kept: Iterable[Kept]) -> dict[int, int]:
    """Return how much is kept of each lot, by its key."""
    sums: dict[int, int] = defaultdict(int)
    for one in kept:
        sums[one.reservation.lot_id] += one.kept_micro
    return dict(sums)


def kept_for_others(kept: Iterable[Kept], purposes: Collection[str]) -> list[Kept]:
    """Return those that are kept for something else than `purposes`."""
    return [one for one in kept if one.reservation.purpose not in purposes]


def _since() -> QuerySet[Posting]:
    rows = Posting.objects.filter(
        lot=OuterRef("lot"), event__recorded_at__gte=OuterRef("reserved_at"), event__reversed_by=None
    )
    return rows.exclude(event__kind=Event.Kind.REVERSE)


def _went() -> QuerySet[Posting]:
    """What left the stock in events that brought something to the place that the purpose names."""
    there = Posting.objects.filter(event=OuterRef("event"), to_location__code=OuterRef(OuterRef("purpose")))
    out = _since().filter(from_location__kind__in=Location.STOCK, to_location__kind__in=Location.CONSUMING)
    return out.filter(Exists(there))


def _came() -> QuerySet[Posting]:
    return _since().filter(from_location__code=OuterRef("purpose"), to_location__kind__in=Location.STOCK)


def _sum(rows: QuerySet[Posting]) -> Coalesce:
    sums = rows.order_by().values("lot").annotate(sum=Sum("quantity_micro")).values("sum")
    return Coalesce(Subquery(sums), Value(0))
