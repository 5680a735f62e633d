"""Vessels: what lies in each and since when, whether it is clean, and what lay in it before; now or at a past moment.

All that is asked is asked for all vessels together. What was reversed never happened.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db.models import OuterRef, Q, QuerySet, Subquery

from inventory.models import Cleaning, Location, Lot, ServiceMark
from inventory.queries.layers import Flow, flows_at


class State(StrEnum):
    """What a vessel is at a moment. An empty one was not cleaned since its last use, or never yet."""

    IN_USE = "in_use"
    CLEAN = "clean"
    EMPTY = "empty"
    OUT_OF_SERVICE = "out_of_service"

    @property
    def words(self) -> str:
        """The state as people say it."""
        return self.value.replace("_", " ")


@dataclass
class Stay:
    """One lot in a vessel, from the flow that brought it until nothing was left of it. Micro-units of the lot."""

    came: Flow
    held_micro: int = 0
    most_micro: int = 0
    left: Flow | None = None

    @property
    def lot(self) -> int:
        """Which lot it is."""
        return self.came.lot

    @property
    def since(self) -> datetime:
        """When it came."""
        return self.came.happened_at

    @property
    def until(self) -> datetime | None:
        """When the last of it left, or None while it is there."""
        return self.left.happened_at if self.left else None


@dataclass(frozen=True)
class Occupation:
    """One lot that lies or lay in a vessel; `until` is None while it does. `most_micro` is the most there was."""

    lot: Lot
    since: datetime
    until: datetime | None
    held_micro: int
    most_micro: int


@dataclass(frozen=True)
class VesselState:
    """What one vessel is at a moment. `contents` come oldest first; a vessel other than a layered silo holds one lot.

    `lay_last` is what left it last, also while it holds something else.
    """

    vessel: Location
    contents: tuple[Occupation, ...]
    lay_last: Occupation | None
    cleaned: Cleaning | None
    mark: ServiceMark | None

    @property
    def state(self) -> State:
        """What holds something is in use, whatever else is said of it."""
        if self.contents:
            return State.IN_USE
        if self.mark and self.mark.is_out:
            return State.OUT_OF_SERVICE
        return State.CLEAN if self._is_clean else State.EMPTY

    @property
    def _is_clean(self) -> bool:
        if self.cleaned is None:
            return False
        emptied = self.lay_last.until if self.lay_last else None
        return emptied is None or emptied <= self.cleaned.happened_at

    @property
    def residue(self) -> Lot | None:
        """The lot whose residue the next contents would carry: that which lay last in a vessel not cleaned since."""
        if self.contents or self._is_clean or self.lay_last is None or not self.vessel.must_be_cleaned:
            return None
        return self.lay_last.lot

    @property
    def since(self) -> datetime | None:
        """Since when it is as it is, or None where that is not on record."""
        match self.state:
            case State.IN_USE:
                return min(one.since for one in self.contents)
            case State.OUT_OF_SERVICE:
                return self.mark.happened_at if self.mark else None
            case State.CLEAN:
                return self.cleaned.happened_at if self.cleaned else None
            case _:
                return self.lay_last.until if self.lay_last else None

    @property
    def held_micro(self) -> int:
        """What lies in it in all."""
        return sum(one.held_micro for one in self.contents)

    @property
    def room_micro(self) -> int | None:
        """How much more fits, in micro-units of its capacity, or None where that is not known."""
        capacity = self.vessel.capacity_micro
        return None if capacity is None else max(0, capacity - self.held_micro)


def states_at(vessels: Iterable[Location], as_of: datetime | None = None) -> dict[int, VesselState]:
    """Return the state of each vessel by its key, as it is or as it was at a moment; four queries however many."""
    wanted = {vessel.pk: vessel for vessel in vessels}
    stays = {key: stays_told_by(flows) for key, flows in flows_at(wanted.values(), as_of).items()}
    shown = {key: [stay for stay in told if stay.until is None] for key, told in stays.items()}
    last = {key: _left_last(told) for key, told in stays.items()}
    lots = _lots([*(stay for told in shown.values() for stay in told), *filter(None, last.values())])
    cleanings = _last_cleanings(wanted, as_of)
    marks = _last_marks(wanted, as_of)
    found = {}
    for key, vessel in wanted.items():
        left = last[key]
        found[key] = VesselState(
            vessel=vessel,
            contents=tuple(_occupation(stay, lots) for stay in shown[key]),
            lay_last=_occupation(left, lots) if left else None,
            cleaned=cleanings.get(key),
            mark=marks.get(key),
        )
    return found


def in_service(places: QuerySet[Location]) -> QuerySet[Location]:
    """Return those of the places that may be filled: no vessel that is out of service now."""
    marks = ServiceMark.objects.filter(vessel=OuterRef("pk")).order_by("-happened_at", "-id")
    return places.annotate(is_out=Subquery(marks.values("is_out")[:1])).filter(Q(is_out=False) | Q(is_out=None))


def state_of(vessel: Location, as_of: datetime | None = None) -> VesselState:
    """Return the state of one vessel."""
    return states_at([vessel], as_of)[vessel.pk]


def occupations_of(vessel: Location, as_of: datetime | None = None) -> list[Occupation]:
    """Return the lots that lay in the vessel, in the order in which they came."""
    stays = stays_told_by(flows_at([vessel], as_of)[vessel.pk])
    lots = _lots(stays)
    return [_occupation(stay, lots) for stay in stays]


def stays_told_by(flows: Iterable[Flow]) -> list[Stay]:
    """Return what stayed in one vessel and how long; the flows come in order of time."""
    held: dict[int, int] = defaultdict(int)
    here: dict[int, Stay] = {}
    stays: list[Stay] = []
    for flow in flows:
        held[flow.lot] += flow.quantity_micro
        if flow.lot not in here and held[flow.lot] > 0:
            here[flow.lot] = Stay(flow)
            stays.append(here[flow.lot])
        stay = here.get(flow.lot)
        if stay:
            stay.held_micro = held[flow.lot]
            stay.most_micro = max(stay.most_micro, stay.held_micro)
            if stay.held_micro <= 0:
                stay.left = flow
                del here[flow.lot]
    return stays


def _left_last(stays: Collection[Stay]) -> Stay | None:
    """Return the stay that ended last; of several that ended at once, the one that began last."""
    left: Stay | None = None
    for stay in stays:
        if stay.until and (left is None or left.until is None or stay.until >= left.until):
            left = stay
    return left


def _lots(stays: Iterable[Stay]) -> dict[int, Lot]:
    return Lot.objects.select_related("material").in_bulk({stay.lot for stay in stays})


def _occupation(stay: Stay, lots: dict[int, Lot]) -> Occupation:
    return Occupation(lots[stay.lot], stay.since, stay.until, stay.held_micro, stay.most_micro)


def _last_cleanings(vessels: Collection[int], as_of: datetime | None) -> dict[int, Cleaning]:
    rows = Cleaning.objects.standing().filter(vessel__in=vessels).select_related("actor")
    if as_of:
        rows = rows.filter(happened_at__lte=as_of)
    return {row.vessel_id: row for row in rows.order_by("happened_at", "id")}


def _last_marks(vessels: Collection[int], as_of: datetime | None) -> dict[int, ServiceMark]:
    rows = ServiceMark.objects.filter(vessel__in=vessels).select_related("actor")
    if as_of:
        rows = rows.filter(happened_at__lte=as_of)
    return {row.vessel_id: row for row in rows.order_by("happened_at", "id")}
