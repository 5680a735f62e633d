"""Stock: what is on hand, how much of it is spoken for, what is free, how old it is and how long it keeps.

On hand is what lies in a store, a silo, a brink, a tank or on a pallet. What was drawn lies in its brew, and a sample
in the laboratory, so neither is on hand. Free is what is released and not reserved.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Exists, F, Min, OuterRef, Q, QuerySet, Sum

from brewery.kernel.clock import brewery_day
from inventory.models import Balance, Location, Lot, Material
from inventory.models.balances import BalanceQuerySet
from inventory.models.dispositions import Disposition
from inventory.queries.layers import lying_beneath
from inventory.queries.reservations import kept_now, reserved_by_lot


@dataclass(frozen=True)
class StockWanted:
    """Which stock is asked for; an empty part asks for nothing. `expiring_before` is the day itself left out."""

    code: str = ""
    material: Material | None = None
    kind: str = ""
    place: Location | None = None
    disposition: str = ""
    expiring_before: date | None = None


@dataclass(frozen=True)
class PlaceStock:
    """How much of a lot lies in one place. A pallet says in which store it stands.

    `beneath` are the keys of the lots that leave a layered silo before it, the lowest first.
    """

    location: Location
    quantity_micro: int
    beneath: tuple[int, ...] = ()

    @property
    def store(self) -> Location | None:
        """The store in which the pallet stands, or None for any other place."""
        unit = getattr(self.location, "logistic_unit", None)
        return unit.stands_in if unit else None


@dataclass(frozen=True)
class LotAge:
    """How old a lot is and how long it keeps, on one day."""

    lot: Lot
    today: date

    @property
    def age_days(self) -> int:
        """Whole days since it was made or came."""
        return (self.today - brewery_day(self.lot.made_at)).days

    @property
    def days_left(self) -> int | None:
        """Days until its best-before day, below zero after it, or None where it has none."""
        return (self.lot.best_before - self.today).days if self.lot.best_before else None

    @property
    def is_past(self) -> bool:
        """Whether its best-before day is over."""
        return self.days_left is not None and self.days_left < 0


@dataclass(frozen=True)
class LotStock(LotAge):
    """One lot: what is on hand and where, and what is kept of it, in micro-units."""

    places: tuple[PlaceStock, ...]
    reserved_micro: int

    @property
    def on_hand_micro(self) -> int:
        """What lies in all places."""
        return sum(place.quantity_micro for place in self.places)

    @property
    def usable_micro(self) -> int:
        """What is on hand of a released lot; nothing of any other."""
        return self.on_hand_micro if self.lot.disposition == Disposition.RELEASED else 0

    @property
    def free_micro(self) -> int:
        """What is usable and kept for nothing."""
        return max(0, self.usable_micro - self.reserved_micro)


@dataclass(frozen=True)
class MaterialStock:
    """One material over all its lots, in micro-units. `past_micro` is on hand and past its best-before day."""

    material: Material
    lots: int
    on_hand_micro: int
    usable_micro: int
    reserved_micro: int
    free_micro: int
    in_process_micro: int
    past_micro: int
    next_best_before: date | None

    @property
    def held_back_micro(self) -> int:
        """What is on hand and not released."""
        return self.on_hand_micro - self.usable_micro


def lots_on_hand(wanted: StockWanted = StockWanted()) -> QuerySet[Lot]:
    """Return the lots of which something is on hand, as asked for."""
    lying = on_hand_at(wanted.place).filter(lot=OuterRef("pk"))
    lots = Lot.objects.filter(Exists(lying)).select_related("material", "supplier")
    return lots.filter(_lot_is(wanted, ""))


def balances_on_hand(wanted: StockWanted = StockWanted()) -> QuerySet[Balance]:
    """Return what lies where, as asked for, each with its lot and place."""
    rows = on_hand_at(wanted.place).filter(_lot_is(wanted, "lot__"))
    return rows.select_related("lot__material", "lot__supplier", "location__logistic_unit__stands_in")


def on_hand_at(place: Location | None) -> BalanceQuerySet:
    """Return what lies in the place, or on a pallet that stands in it; in all places for None."""
    rows = Balance.objects.on_hand()
    return rows.filter(Q(location=place) | Q(location__logistic_unit__stands_in=place)) if place else rows


def stock_of_lots(lots: Sequence[Lot], today: date) -> list[LotStock]:
    """Return the stock of the lots, in their order; two statements however many lots, one more for layered silos."""
    places: dict[int, list[PlaceStock]] = defaultdict(list)
    balances = Balance.objects.on_hand().filter(lot__in=lots).select_related("location__logistic_unit__stands_in")
    lying = list(balances.order_by("location__code"))
    beneath = lying_beneath({row.location for row in lying if row.location.filling == Location.Filling.LAYERED})
    for row in lying:
        under = tuple(beneath.get((row.lot_id, row.location_id), ()))
        places[row.lot_id].append(PlaceStock(row.location, row.quantity_micro, under))
    reserved = reserved_by_lot(kept_now(today, lots))
    return [LotStock(lot, today, tuple(places[lot.pk]), reserved.get(lot.pk, 0)) for lot in lots]


def stock_of_materials(materials: Sequence[Material], today: date) -> list[MaterialStock]:
    """Return the stock of the materials, in their order; three statements however many lots there are."""
    sums = {row["lot__material"]: row for row in _sums(materials, today)}
    reserved, taken_up = _reserved(today)
    return [
        _material_stock(material, sums.get(material.pk, {}), reserved[material.pk], taken_up[material.pk])
        for material in materials
    ]


def _lot_is(wanted: StockWanted, path: str) -> Q:
    asked = {
        f"{path}code__icontains": wanted.code,
        f"{path}material": wanted.material,
        f"{path}material__kind": wanted.kind,
        f"{path}disposition": wanted.disposition,
        f"{path}best_before__lt": wanted.expiring_before,
    }
    return Q(**{name: value for name, value in asked.items() if value})


def _sums(materials: Sequence[Material], today: date) -> list[dict[str, Any]]:
    rows = Balance.objects.held().filter(
        location__kind__in=(*Location.ON_HAND, Location.Kind.PROCESS), lot__material__in=materials
    )
    here = Q(location__kind__in=Location.ON_HAND)
    sums = rows.values("lot__material").annotate(
        lots=Count("lot", filter=here, distinct=True),
        on_hand=Sum("quantity_micro", filter=here, default=0),
        usable=Sum("quantity_micro", filter=here & Q(lot__disposition=Disposition.RELEASED), default=0),
        in_process=Sum("quantity_micro", filter=~here, default=0),
        past=Sum("quantity_micro", filter=here & Q(lot__best_before__lt=today), default=0),
        next_best_before=Min("lot__best_before", filter=here),
    )
    return [dict(row) for row in sums]


def _reserved(today: date) -> tuple[dict[int, int], dict[int, int]]:
    """Return by material what is kept, and how much of what is usable that takes up."""
    kept = kept_now(today)
    lots = {one.reservation.lot_id: one.reservation.lot for one in kept}
    reserved: dict[int, int] = defaultdict(int)
    taken_up: dict[int, int] = defaultdict(int)
    held = Balance.objects.on_hand().filter(lot__in=lots).values_list("lot").annotate(sum=Sum("quantity_micro"))
    on_hand = dict(held) if lots else {}
    for key, kept_micro in reserved_by_lot(kept).items():
        lot = lots[key]
        reserved[lot.material_id] += kept_micro
        if lot.disposition == Disposition.RELEASED:
            taken_up[lot.material_id] += min(kept_micro, on_hand.get(key, 0))
    return reserved, taken_up


def _material_stock(material: Material, sums: dict[str, Any], reserved: int, taken_up: int) -> MaterialStock:
    return MaterialStock(
        material=material,
        lots=sums.get("lots", 0),
        on_hand_micro=int(sums.get("on_hand", 0)),
        usable_micro=int(sums.get("usable", 0)),
        reserved_micro=reserved,
        free_micro=int(sums.get("usable", 0)) - taken_up,
        in_process_micro=int(sums.get("in_process", 0)),
        past_micro=int(sums.get("past", 0)),
        next_best_before=sums.get("next_best_before"),
    )


SORTS = {
    "code": (F("code").asc(), F("pk").asc()),
    "best_before": (F("best_before").asc(nulls_last=True), F("pk").asc()),
    "oldest": (F("made_at").asc(), F("pk").asc()),
    "newest": (F("made_at").desc(), F("pk").desc()),
    "material": (F("material__name").asc(), F("best_before").asc(nulls_last=True), F("pk").asc()),
}
"""The orders in which lots can be had, by name."""
