"""Layers: what lies over what in a silo that keeps its deliveries apart, and what met what on the way out.

What goes in lies on top, and what goes out comes from below. Where two layers meet they mix a little: within a band, a
set quantity of the silo's own, each may hold some of the other. So what is taken has met the lots that left within one
band before it, and those that lie within one band above it afterwards. A silo that is run empty begins anew.
Funnel flow can mix farther than a band; how wide it is, is the brewery's to set (common practice, no source).
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import groupby
from operator import attrgetter

from django.db.models import Q

from inventory.models import Event, Location, Posting

FROM_BELOW = (Event.Kind.DRAW, Event.Kind.MOVE, Event.Kind.REFILL)
"""What leaves through the mouth of the silo and is used elsewhere; a sample or a spoilt crust may come off the top."""


@dataclass(frozen=True)
class Flow:
    """What one event put into the silo of a lot (above zero) or took out of it (below zero), in micro-units."""

    event: int
    happened_at: datetime
    kind: str
    lot: int
    quantity_micro: int


@dataclass
class Column:
    """What lies in the silo, the lowest first, and what left it since it was last empty, the latest last."""

    lying: list[list[int]] = field(default_factory=list)
    left: list[tuple[int, int]] = field(default_factory=list)

    def put(self, lot: int, quantity: int) -> None:
        """It lies on top."""
        if self.lying and self.lying[-1][0] == lot:
            self.lying[-1][1] += quantity
        else:
            self.lying.append([lot, quantity])

    def count(self, lot: int, quantity: int) -> None:
        """A count found more of the lot, or less: nothing flowed."""
        layer = next((layer for layer in self.lying if layer[0] == lot), None)
        if quantity < 0:
            self._remove(lot, -quantity)
        elif layer:
            layer[1] += quantity
        else:
            self.put(lot, quantity)

    def take(self, lot: int, quantity: int, band: int) -> set[int]:
        """It is gone from the lowest that there is of the lot; return the lots that it met within `band`."""
        met = set(_within(band, reversed(self.left)))
        self._remove(lot, quantity)
        met |= set(_within(band, self.lying))
        self.left.append((lot, quantity))
        if not self.lying:
            self.left.clear()
        return met - {lot}

    def beneath(self, lot: int) -> list[int]:
        """Return the lots that must leave before the lot can, the lowest first."""
        lots = list(dict.fromkeys(layer[0] for layer in self.lying))
        return lots[: lots.index(lot)] if lot in lots else []

    def _remove(self, lot: int, quantity: int) -> None:
        for layer in [layer for layer in self.lying if layer[0] == lot]:
            part = min(layer[1], quantity)
            layer[1] -= part
            quantity -= part
        self.lying = [layer for layer in self.lying if layer[1] > 0]


@dataclass(frozen=True)
class Told:
    """What the flows of a silo tell: what met what in each event, and what was taken from under what lay beneath."""

    met: dict[int, set[tuple[int, int]]]
    beneath: dict[int, list[tuple[int, int]]]
    column: Column


def told_by(flows: Iterable[Flow], band: int) -> Told:
    """Play the flows, which come in order of time."""
    column = Column()
    met: dict[int, set[tuple[int, int]]] = defaultdict(set)
    beneath: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for key, group in groupby(flows, key=attrgetter("event")):
        for flow in _from_the_bottom(column, list(group)):
            if flow.kind == Event.Kind.COUNT:
                column.count(flow.lot, flow.quantity_micro)
            elif flow.quantity_micro > 0:
                column.put(flow.lot, flow.quantity_micro)
            else:
                beneath[key].extend((flow.lot, under) for under in column.beneath(flow.lot))
                met[key] |= {(flow.lot, other) for other in column.take(flow.lot, -flow.quantity_micro, band)}
    return Told(dict(met), dict(beneath), column)


def flows_at(silos: Collection[Location], until: datetime | None = None) -> dict[int, list[Flow]]:
    """Return by silo what went in and out until a moment, in order of time; one statement.

    What was reversed never happened.
    """
    keys = {silo.pk for silo in silos}
    found: dict[int, list[Flow]] = {key: [] for key in keys}
    if not keys:
        return found
    rows = Posting.objects.filter(Q(from_location__in=keys) | Q(to_location__in=keys), event__reversed_by=None)
    rows = rows.exclude(event__kind=Event.Kind.REVERSE).order_by("event__happened_at", "event", "id")
    if until:
        rows = rows.filter(event__happened_at__lte=until)
    columns = ("event", "event__happened_at", "event__kind", "lot", "from_location", "to_location", "quantity_micro")
    for event, happened_at, kind, lot, from_, to, quantity in rows.values_list(*columns):
        for place, sign in ((from_, -1), (to, 1)):
            if place in keys:
                found[place].append(Flow(event, happened_at, kind, lot, sign * quantity))
    return found


def lying_beneath(silos: Collection[Location]) -> dict[tuple[int, int], list[int]]:
    """Return, by lot and silo, the lots that lie beneath it now, the lowest first; one statement."""
    columns = {place: told_by(flows, 0).column for place, flows in flows_at(silos).items()}
    return {
        (lot, place): column.beneath(lot)
        for place, column in columns.items()
        for lot in {one[0] for one in column.lying}
    }


def _from_the_bottom(column: Column, flows: list[Flow]) -> list[Flow]:
    """Return the flows of one event, what leaves the lowest layer first."""
    order = {layer[0]: place for place, layer in reversed(list(enumerate(column.lying)))}
    return sorted(flows, key=lambda flow: (flow.quantity_micro > 0, order.get(flow.lot, len(order))))


def _within(band: int, layers: Iterable[Iterable[int]]) -> Iterator[int]:
    for lot, quantity in layers:
        if band <= 0:
            return
        yield lot
        band -= quantity
