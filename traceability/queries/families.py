"""Families of lots: some lots and all that comes of them over the chosen links, with where each is now."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cached_property

from brewery.kernel.database.sets import portions
from brewery.science.units import MICRO
from inventory.models import Link, Location, Lot, Material, Party
from inventory.queries.contacts import met_by
from traceability.queries.graph import Direction, Reached, reached_now
from traceability.queries.report import Place


@dataclass(frozen=True)
class Member:
    """One lot of a family with where it lies; `is_start` where the family starts from it.

    `is_touched` where it is not made of the family, but may hold some of it, having met it in a layered silo.
    """

    lot: Lot
    is_start: bool
    places: list[Place]
    is_touched: bool = False

    @property
    def inside(self) -> list[Place]:
        """The places inside the brewery."""
        return [place for place in self.places if place.location.is_inside]


@dataclass(frozen=True)
class Family:
    """Some lots and all that comes of them, in order of time."""

    members: list[Member]
    reached: Reached

    @cached_property
    def tanks(self) -> list[Location]:
        """The tanks that hold some of it."""
        return self._places(Location.TANKS)

    @cached_property
    def in_process(self) -> list[Location]:
        """The brews and runs that it is in process in."""
        return self._places((Location.Kind.PROCESS,))

    @cached_property
    def customers(self) -> list[Party]:
        """The customers that hold some of it."""
        places = self._places((Location.Kind.CUSTOMER,))
        return [place.party for place in places if place.party]

    @property
    def on_hand(self) -> list[Member]:
        """The members of which something lies inside the brewery."""
        return [member for member in self.members if member.inside]

    @property
    def packages_here(self) -> int:
        """How many packages lie inside the brewery."""
        return self._packages(Location.INSIDE)

    @property
    def packages_out(self) -> int:
        """How many packages lie at customers."""
        return self._packages((Location.Kind.CUSTOMER,))

    def _places(self, kinds: Collection[str]) -> list[Location]:
        found = {place.location.pk: place.location for member in self.members for place in member.places}
        return sorted((place for place in found.values() if place.kind in kinds), key=lambda place: place.code)

    def _packages(self, kinds: Collection[str]) -> int:
        micro = sum(
            place.quantity_micro
            for member in self.members
            if member.lot.material.kind == Material.Kind.PACKAGED
            for place in member.places
            if place.location.kind in kinds
        )
        return micro // MICRO


def family_of(starts: Collection[int], kinds: Collection[Link.Kind]) -> Family:
    """Return the lots with these ids and all that comes of them over links of these kinds, as it is now."""
    reached = reached_now(starts, Direction.FORWARD, kinds)
    touched = touched_by(ids_of(starts, reached), kinds)
    keys = sorted(ids_of(starts, reached) | touched)
    lots = lots_by_id(keys)
    lying = [*reached.lying, *(reached_now(touched, Direction.FORWARD, ()).lying if touched else ())]
    locations = Location.objects.select_related("party").in_bulk({row.location for row in lying})
    places: dict[int, list[Place]] = defaultdict(list)
    for row in lying:
        places[row.lot].append(Place(locations[row.location], row.quantity_micro))
    members = [
        Member(
            lots[key],
            key in starts,
            sorted(places[key], key=lambda place: place.location.code),
            is_touched=key in touched,
        )
        for key in keys
    ]
    return Family(members, reached)


def touched_by(lots: Collection[int], kinds: Collection[Link.Kind]) -> set[int]:
    """Return the ids of the lots that may hold some of these unmixed: where residue is followed, and no further.

    What is made of them afterwards is linked to what they met.
    """
    return met_by(lots) if Link.Kind.CARRYOVER in kinds else set()


def lots_by_id(keys: Iterable[int]) -> dict[int, Lot]:
    """Return the lots with their materials."""
    lots: dict[int, Lot] = {}
    for portion in portions(keys):
        lots.update(Lot.objects.select_related("material").in_bulk(portion))
    return lots


def ids_of(starts: Iterable[int], reached: Reached) -> set[int]:
    """Return the ids of all lots of a family."""
    return {*starts, *(step.child for step in reached.steps)}
