"""Pallets: which there are, what they hold, and where they stood at any moment."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from inventory.models import Balance, Location, LogisticUnit, UnitMove


@dataclass(frozen=True)
class Pallet:
    """One pallet with what lies on it, the oldest lot first."""

    unit: LogisticUnit
    contents: list[Balance]


def pallet_of(sscc: str) -> LogisticUnit | None:
    """Return the pallet of that SSCC, with its location and the store where it stands."""
    return LogisticUnit.objects.filter(sscc=sscc).select_related("location", "stands_in").first()


def pallets_in_full() -> QuerySet[LogisticUnit]:
    """Return all pallets, each with its location, the store where it stands, what lies on it, and its moves."""
    held = Balance.objects.held().select_related("lot__material").order_by("lot")
    moves = UnitMove.objects.select_related("from_location", "to_location", "actor")
    units = LogisticUnit.objects.select_related("location", "stands_in")
    return units.prefetch_related(Prefetch("location__balances", held), Prefetch("moves", moves))


def pallets_that_hold_something() -> QuerySet[LogisticUnit]:
    """Return the pallets that are not empty."""
    held = Balance.objects.filter(location=OuterRef("location"), quantity_micro__gt=0)
    return LogisticUnit.objects.filter(Exists(held)).select_related("location", "stands_in")


def with_contents(units: Iterable[LogisticUnit]) -> list[Pallet]:
    """Return the pallets with what lies on each, in one question."""
    units = list(units)
    held: dict[int, list[Balance]] = defaultdict(list)
    rows = Balance.objects.filter(location__in=[unit.location_id for unit in units], quantity_micro__gt=0)
    for balance in rows.select_related("lot__material").order_by("lot"):
        held[balance.location_id].append(balance)
    return [Pallet(unit, held[unit.location_id]) for unit in units]


def moves_of(unit: LogisticUnit) -> QuerySet[UnitMove]:
    """Return the moves of a pallet, the first one first."""
    return UnitMove.objects.filter(unit=unit).select_related("from_location", "to_location", "actor")


def stood_in(unit: LogisticUnit, moment: datetime) -> Location | None:
    """Return the store where the pallet stood at a moment, or None before it was made."""
    if moment < unit.made_at:
        return None
    moves = moves_of(unit)
    before = moves.filter(happened_at__lte=moment).last()
    if before:
        return before.to_location
    first = moves.first()
    return first.from_location if first else unit.stands_in
