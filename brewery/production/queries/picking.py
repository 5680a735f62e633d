"""What to pick for an order: the first to expire first, of what still keeps as long as the customer asks.

Whole pallets come first where they fit, then what lies loose in the stores, then part of a pallet. What is reserved,
was picked for another order, or came back and waits for a decision is left alone. First expired first out: common
practice, no source.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Count, Q, Sum

from brewery.kernel.clock import brewery_day
from brewery.production.models import CustomerOrder, CustomerOrderLine
from brewery.production.queries.customer_orders import LineProgress, OrderProgress, open_picks
from brewery.production.queries.returned import undecided_of
from brewery.science.units import MICRO
from inventory.models import Balance, Location, Lot
from inventory.models.dispositions import Disposition
from inventory.queries.customers import life_left, minimum_days
from inventory.queries.proposals import lots_in_stock
from inventory.queries.stock import LotStock, stock_of_lots

LEAVES_FROM = (Location.Kind.STORE, Location.Kind.PALLET)


@dataclass(frozen=True)
class FreePlace:
    """How many of a lot can be picked in one place; `is_whole` where that is all that a pallet holds."""

    location: Location
    count: int
    is_whole: bool = False


@dataclass(frozen=True)
class FreeLot:
    """A lot with the places where it can be picked; `free` is how many of it in all."""

    lot: Lot
    places: tuple[FreePlace, ...]
    free: int

    def in_place(self, location: Location) -> int:
        """Return how many can be picked in that place."""
        return min(self.free, sum(place.count for place in self.places if place.location == location))


@dataclass(frozen=True)
class ToPick:
    """So many of a lot to take from one place."""

    lot: Lot
    location: Location
    count: int
    is_whole_pallet: bool = False


@dataclass(frozen=True)
class NotPicked:
    """A lot that is there and is not proposed, or not all of it, and why."""

    lot: Lot
    count: int
    reason: str


@dataclass(frozen=True)
class PickProposal:
    """What to pick for one line of an order, what is left out, and how many are short."""

    line: CustomerOrderLine
    wanted: int
    minimum_days: int | None
    lines: list[ToPick] = field(default_factory=list)
    left_out: list[NotPicked] = field(default_factory=list)

    @property
    def short(self) -> int:
        """How many there are not enough of."""
        return self.wanted - sum(one.count for one in self.lines)


def delivery_day(order: CustomerOrder) -> date:
    """Return the day on which the customer gets what is picked now: the day wanted, or today where that is over."""
    return max(order.wanted_on, brewery_day())


def proposals_for(progress: OrderProgress) -> list[PickProposal]:
    """Return what to pick for each line of which some is open; the questions do not grow with the lots."""
    lines = [one for one in progress.lines if one.open]
    materials = [one.line.material for one in lines]
    asked = minimum_days(progress.order.customer, materials)
    stocks = stock_of_lots(lots_in_stock(materials), brewery_day())
    free = {one.lot.pk: one for one in free_lots(stocks)}
    day = delivery_day(progress.order)
    return [_proposal(one, asked[one.line.material_id], stocks, free, day) for one in lines]


def _proposal(
    progress: LineProgress, asked: int | None, stocks: Sequence[LotStock], free: dict[int, FreeLot], day: date
) -> PickProposal:
    proposal = PickProposal(progress.line, progress.open, asked)
    for stock in (one for one in stocks if one.lot.material_id == progress.line.material_id):
        there = stock.on_hand_micro // MICRO
        reason = why_not(stock.lot, asked, day)
        if reason:
            proposal.left_out.append(NotPicked(stock.lot, there, reason))
            continue
        can = free[stock.lot.pk]
        if can.free < there:
            proposal.left_out.append(NotPicked(stock.lot, there - can.free, "reserved, picked, or not decided on"))
        proposal.lines.extend(from_lot(can, proposal.short))
    return proposal


def why_not(lot: Lot, asked_days: int | None, day: date) -> str:
    """Return why the lot is not for a customer who asks for so many days on that day, or nothing where it is."""
    if lot.disposition != Disposition.RELEASED:
        return lot.get_disposition_display()
    return short_life(lot, asked_days, day)


def short_life(lot: Lot, asked_days: int | None, day: date) -> str:
    """Return in which way the lot keeps too short, or nothing where it keeps long enough."""
    left = life_left(lot, day)
    if left is None:
        return f"it has no best-before day, and {asked_days} days are asked for" if asked_days else ""
    if left < 0:
        return f"it is past its best-before day on {day.isoformat()}"
    return f"it keeps {left} days, and {asked_days} are asked for" if left < (asked_days or 0) else ""


def free_lots(stocks: Sequence[LotStock]) -> list[FreeLot]:
    """Return how many of each lot can be picked where, in their order."""
    lots = [stock.lot for stock in stocks]
    undecided = undecided_of(lots)
    claimed = _claimed(lots, undecided)
    waiting: dict[int, int] = defaultdict(int)
    for (lot, _), count in undecided.items():
        waiting[lot] += count
    alone = _alone_on(place.location for stock in stocks for place in stock.places)
    return [_free_lot(stock, claimed, waiting[stock.lot.pk], alone) for stock in stocks]


def _free_lot(stock: LotStock, claimed: dict[tuple[int, int], int], waiting: int, alone: set[int]) -> FreeLot:
    places = []
    for place in stock.places:
        count, taken = place.quantity_micro // MICRO, claimed[stock.lot.pk, place.location.pk]
        if place.location.kind in LEAVES_FROM and count > taken:
            whole = place.location.pk in alone and not taken and place.quantity_micro == count * MICRO
            places.append(FreePlace(place.location, count - taken, whole))
    free = min(stock.free_micro // MICRO - waiting, sum(place.count for place in places))
    return FreeLot(stock.lot, tuple(places), max(0, free))


def _claimed(lots: Sequence[Lot], undecided: dict[tuple[int, int], int]) -> defaultdict[tuple[int, int], int]:
    """Return how many are picked or wait for a decision, by lot and place."""
    claimed = defaultdict(int, undecided)
    picked = open_picks().filter(lot__in=lots).order_by().values_list("lot", "location").annotate(sum=Sum("count"))
    for lot, location, count in picked:
        claimed[lot, location] += count
    return claimed


def _alone_on(places: Iterable[Location]) -> set[int]:
    """Return the pallets that hold one lot and nothing else."""
    pallets = [place.pk for place in places if place.kind == Location.Kind.PALLET]
    lying = Balance.objects.filter(location__in=pallets, quantity_micro__gt=0).order_by().values("location")
    return set(lying.annotate(lots=Count("lot")).filter(Q(lots=1)).values_list("location", flat=True))


def from_lot(free: FreeLot, wanted: int) -> Iterator[ToPick]:
    """Yield what to take of one lot: whole pallets that fit, then loose ones, then part of a pallet."""
    left = min(wanted, free.free)
    rest = []
    for place in sorted(free.places, key=lambda one: (not one.is_whole, -one.count, one.location.code)):
        if place.is_whole and place.count <= left:
            yield ToPick(free.lot, place.location, place.count, is_whole_pallet=True)
            left -= place.count
        else:
            rest.append(place)
    for place in sorted(rest, key=lambda one: (one.location.kind == Location.Kind.PALLET, one.count)):
        if take := min(left, place.count):
            yield ToPick(free.lot, place.location, take)
            left -= take
