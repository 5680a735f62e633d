"""The floor: what lies in every tank, silo and store now."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from inventory.models import Balance, Location, LogisticUnit, Lot


@dataclass(frozen=True)
class Held:
    """A quantity of a lot in a place, or on a pallet that stands there."""

    lot: Lot
    quantity_micro: int
    is_past: bool
    pallet: LogisticUnit | None = None


@dataclass(frozen=True)
class HeldPlace:
    """One place with all that lies in it, the oldest lot first; what stands there on pallets comes last."""

    location: Location
    rows: list[Held]


@dataclass(frozen=True)
class Vessel:
    """One tank, silo or brink with what it holds."""

    location: Location
    contents: list[Held]

    @property
    def quantity_micro(self) -> int:
        """What lies in it in all, in micro-units of `unit`."""
        return sum(held.quantity_micro for held in self.contents)

    @property
    def unit(self) -> str:
        """The unit of its capacity, or of what it holds."""
        return self.location.capacity_unit or (self.contents[0].lot.material.base_unit if self.contents else "")

    @property
    def fill_percent(self) -> int | None:
        """How full it is, from 0 to 100, or None without a capacity in the unit of what it holds."""
        if not self.location.capacity_micro:
            return None
        return min(100, round(100 * self.quantity_micro / self.location.capacity_micro))

    @property
    def since(self) -> datetime | None:
        """When its newest contents were made, or None where it is empty."""
        return max((held.lot.made_at for held in self.contents), default=None)


@dataclass(frozen=True)
class VesselGroup:
    """Vessels of one kind under a heading."""

    heading: str
    vessels: list[Vessel]


VESSEL_HEADINGS = (
    (Location.Kind.FERMENTER, "Fermenters"),
    (Location.Kind.BRIGHT_TANK, "Bright tanks"),
    (Location.Kind.BRINK, "Yeast brinks"),
    (Location.Kind.SILO, "Silos"),
)


def held_by_place(kinds: Iterable[str], today: date) -> list[HeldPlace]:
    """Return every place of these kinds with what lies in it, empty ones too, in the order of their codes."""
    return _with_rows(Location.objects.filter(kind__in=list(kinds)), today)


def held_in(place: Location, today: date) -> HeldPlace:
    """Return one place with what lies in it and on the pallets that stand there."""
    (held,) = _with_pallets(_with_rows([place], today), today)
    return held


def _with_rows(places: Iterable[Location], today: date) -> list[HeldPlace]:
    places = list(places)
    rows: dict[int, list[Held]] = defaultdict(list)
    balances = Balance.objects.filter(location__in=places, quantity_micro__gt=0)
    for balance in balances.select_related("lot__material").order_by("lot"):
        rows[balance.location_id].append(_held(balance, today))
    return [HeldPlace(place, rows[place.pk]) for place in places]


def _with_pallets(stores: list[HeldPlace], today: date) -> list[HeldPlace]:
    """Return the same places, with what lies on the pallets that stand there."""
    rows: dict[int, list[Held]] = defaultdict(list)
    standing = LogisticUnit.objects.filter(stands_in__in=[store.location for store in stores])
    balances = Balance.objects.filter(location__in=standing.values("location"), quantity_micro__gt=0)
    related = balances.select_related("lot__material", "location__logistic_unit__location")
    for balance in related.order_by("location__code", "lot"):
        unit = balance.location.logistic_unit
        rows[unit.stands_in_id].append(_held(balance, today, unit))
    return [HeldPlace(store.location, store.rows + rows[store.location.pk]) for store in stores]


def _held(balance: Balance, today: date, pallet: LogisticUnit | None = None) -> Held:
    best_before = balance.lot.best_before
    is_past = best_before is not None and best_before < today
    return Held(balance.lot, balance.quantity_micro, is_past, pallet)


def vessel_groups(today: date) -> list[VesselGroup]:
    """Return the tanks, brinks and silos by kind; a kind that the brewery has none of is left out."""
    places = held_by_place([kind for kind, _ in VESSEL_HEADINGS], today)
    groups = [
        VesselGroup(heading, [Vessel(place.location, place.rows) for place in places if place.location.kind == kind])
        for kind, heading in VESSEL_HEADINGS
    ]
    return [group for group in groups if group.vessels]


def stores(today: date) -> list[HeldPlace]:
    """Return the stores, with their pallets, and laboratories, and the brews and runs that hold something just now."""
    always = _with_pallets(held_by_place([Location.Kind.STORE, Location.Kind.LABORATORY], today), today)
    under_way = held_by_place([Location.Kind.PROCESS], today)
    return always + [place for place in under_way if place.rows]
