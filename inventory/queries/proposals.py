"""Proposals: from which lots to take a quantity, the first to expire first.

A lot is proposed where it is released, lies in stock, and its best-before day is not over on the day of use. What is
kept for something is left alone, and so is what lies in a layered silo above something that stays there. Within a lot
the packages that are open already come first, then whole ones; one more is opened for the rest, unless whole packages
are wanted. First expired first out: common practice, no source.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from django.db.models import Exists, F, OuterRef

from inventory.models import Balance, Location, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.stock import LotStock, PlaceStock, stock_of_lots


@dataclass(frozen=True)
class ProposedLine:
    """A quantity of a lot to take from a place: of an open package, as whole packages, or by opening one more."""

    lot: Lot
    location: Location
    quantity_micro: int
    whole_packages: int = 0
    opens_one: bool = False


@dataclass(frozen=True)
class LeftOut:
    """A lot that is there and is not proposed, or not all of it, and why."""

    lot: Lot
    quantity_micro: int
    reason: str


@dataclass(frozen=True)
class Proposal:
    """What to take for a quantity of a material, and what is missing; in micro-units."""

    material: Material
    asked_micro: int
    lines: list[ProposedLine] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)

    @property
    def proposed_micro(self) -> int:
        """What the lines bring together: more than was asked only where whole packages do not come out even."""
        return sum(line.quantity_micro for line in self.lines)

    @property
    def missing_micro(self) -> int:
        """What there is not enough of."""
        return max(0, self.asked_micro - self.proposed_micro)


def propose(
    material: Material, quantity_micro: int, *, today: date, use_on: date, whole_packages: bool = False
) -> Proposal:
    """Return what to take of the material for use on that day; three statements however many lots there are."""
    stocks = stock_of_lots(lots_in_stock([material]), today)
    return propose_from(material, quantity_micro, stocks, use_on=use_on, whole_packages=whole_packages)


def propose_from(
    material: Material, quantity_micro: int, stocks: Sequence[LotStock], *, use_on: date, whole_packages: bool = False
) -> Proposal:
    """Return what to take from these lots, which come in the order of expiry; in a layered silo the lowest first."""
    proposal = Proposal(material, quantity_micro)
    for stock in _lowest_first(stocks):
        places = _within_reach(stock, stocks, proposal)
        reason = _why_not(stock, use_on) or _lies_above(stock, places, stocks)
        if reason:
            proposal.left_out.append(LeftOut(stock.lot, stock.on_hand_micro, reason))
            continue
        if stock.free_micro < stock.on_hand_micro:
            kept = stock.on_hand_micro - stock.free_micro
            proposal.left_out.append(LeftOut(stock.lot, kept, "kept for something else"))
        if proposal.missing_micro:
            proposal.lines.extend(_from_lot(replace(stock, places=places), proposal.missing_micro, whole_packages))
    return proposal


def takeable(materials: Collection[Material], *, today: date, use_on: date) -> dict[int, list[LotStock]]:
    """Return by material the lots that may be taken for use on that day, the first to expire first.

    Three statements however many materials and lots there are.
    """
    found: dict[int, list[LotStock]] = defaultdict(list)
    for stock in stock_of_lots(lots_in_stock(materials), today):
        if not _why_not(stock, use_on) and stock.free_micro:
            found[stock.lot.material_id].append(stock)
    return found


def lots_in_stock(materials: Collection[Material]) -> list[Lot]:
    """Return the lots of the materials of which something lies in stock, the first to expire first."""
    lying = Balance.objects.held().filter(lot=OuterRef("pk"), location__kind__in=Location.STOCK)
    lots = Lot.objects.filter(Exists(lying), material__in=materials).select_related("material")
    return list(lots.order_by(F("best_before").asc(nulls_last=True), "made_at", "pk"))


def _why_not(stock: LotStock, use_on: date) -> str:
    lot = stock.lot
    if lot.disposition != Disposition.RELEASED:
        return lot.get_disposition_display()
    if lot.best_before and lot.best_before < use_on:
        return f"best before {lot.best_before.isoformat()}"
    return ""


def _lowest_first(stocks: Sequence[LotStock]) -> list[LotStock]:
    """Return the lots in their order, but each after those that lie beneath it in a layered silo."""
    by_lot = {stock.lot.pk: stock for stock in stocks}
    placed: dict[int, LotStock] = {}
    for stock in stocks:
        under = [key for place in stock.places for key in place.beneath]
        for key in (*under, stock.lot.pk):
            if key in by_lot:
                placed.setdefault(key, by_lot[key])
    return list(placed.values())


def _lies_above(stock: LotStock, places: Sequence[PlaceStock], stocks: Sequence[LotStock]) -> str:
    """Return why the lot cannot be had, where all of it lies in layers above something that stays there."""
    if places or not stock.places:
        return ""
    codes = {other.lot.pk: other.lot.code for other in stocks}
    under = [codes[key] for place in stock.places for key in place.beneath if key in codes]
    return f"lies above lot {under[0]}" if under else "lies above another material"


def _within_reach(stock: LotStock, stocks: Sequence[LotStock], proposal: Proposal) -> tuple[PlaceStock, ...]:
    """Return the places out of which the lot can be had after what the proposal takes so far."""
    return tuple(place for place in stock.places if not _staying_beneath(place, stocks, proposal))


def _staying_beneath(place: PlaceStock, stocks: Sequence[LotStock], proposal: Proposal) -> list[int]:
    """Return the lots beneath that the proposal does not take whole out of that place."""
    held = {
        other.lot.pk: part.quantity_micro
        for other in stocks
        for part in other.places
        if part.location == place.location
    }
    for line in proposal.lines:
        if line.location == place.location:
            held[line.lot.pk] -= line.quantity_micro
    return [key for key in place.beneath if held.get(key, 1) > 0]


def _from_lot(stock: LotStock, missing: int, whole: bool) -> Iterator[ProposedLine]:
    """Yield what to take of one lot, no more than is free and lies in stock."""
    places = [place for place in stock.places if place.location.kind in Location.STOCK]
    package = stock.lot.package_micro
    can_take = min(stock.free_micro, sum(place.quantity_micro for place in places))
    if not package:
        yield from _loose(stock.lot, places, min(missing, can_take))
        return
    for part in sorted(places, key=lambda place: place.quantity_micro % package):
        opened = part.quantity_micro % package
        take = opened if whole else min(opened, missing, can_take)
        if 0 < take <= can_take and missing > 0:
            yield ProposedLine(stock.lot, part.location, take)
            missing, can_take = missing - take, can_take - take
    yield from _closed(stock.lot, places, package, missing, can_take, whole)


def _loose(lot: Lot, places: Iterable[PlaceStock], wanted: int) -> Iterator[ProposedLine]:
    for place in places:
        take = min(place.quantity_micro, wanted)
        if take > 0:
            yield ProposedLine(lot, place.location, take)
            wanted -= take


def _closed(
    lot: Lot, places: Iterable[PlaceStock], package: int, missing: int, can_take: int, whole: bool
) -> Iterator[ProposedLine]:
    """Yield whole packages for what is still missing, and the one that is opened for the rest."""
    for place in places:
        there = place.quantity_micro // package
        wanted = -(-missing // package) if whole else missing // package
        count = max(0, min(there, wanted, can_take // package))
        take = count * package
        rest = 0 if whole or count == there else min(missing - take, can_take - take)
        if take + rest:
            yield ProposedLine(lot, place.location, take + rest, count, opens_one=rest > 0)
        missing, can_take = missing - take - rest, can_take - take - rest
