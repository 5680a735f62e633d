"""The made-up ledger being written: rows by table, in the real schema's columns, and what lies where meanwhile."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

COLUMNS = {
    "kernel_request": ("id", "action", "actor_id", "content", "recorded_at", "result_id"),
    "inventory_material": (
        *("id", "code", "name", "kind", "base_unit", "arrives", "contents_micro", "delivery_tolerance_ppm"),
        *("count_tolerance_ppm", "allergens", "allergens_exempt_in_eu", "is_of_animal_origin", "claims", "salt"),
        "container",
    ),
    "inventory_party": ("id", "code", "name", "role"),
    "inventory_location": (
        *("id", "code", "name", "kind", "filling", "holds_one_lot", "may_go_below_zero"),
        *("capacity_micro", "capacity_unit", "party_id", "must_be_cleaned"),
    ),
    "inventory_event": (
        *("id", "kind", "happened_at", "recorded_at", "actor_id", "request_id"),
        *("reference", "reason", "override_reason", "reverses_id"),
    ),
    "inventory_lot": (
        *("id", "code", "material_id", "made_by_id", "made_at", "made_micro", "counted_micro", "disposition"),
        *("reversed_by_id", "supplier_id", "supplier_lot", "best_before", "generation"),
    ),
    "inventory_posting": ("id", "event_id", "lot_id", "from_location_id", "to_location_id", "quantity_micro"),
    "inventory_link": ("id", "event_id", "parent_id", "child_id", "kind", "quantity_micro", "reversed_by_id"),
    "production_brew": ("id", "code", "beer_id", "location_id", "started_at", "request_id"),
    "production_packagingrun": ("id", "code", "beer_id", "location_id", "started_at", "request_id"),
}
"""The tables in the order in which their rows can be written."""

BEGAN = datetime(2022, 1, 3, 6, tzinfo=UTC)
A_LITTLE = timedelta(seconds=75)
INGREDIENT, CULTURE, CARRYOVER = 1, 2, 3
Part = tuple[int, int | str, int]
"""A lot, where it lies, and how much of it; a boundary is given by its kind."""

_SCATTER = 0x9E3779B97F4A7C15F39CC0605CEDC835


class Book:
    """Writes events one after the other. `held` is what lies inside, by lot and location, in micro-units."""

    def __init__(self, boundaries: Mapping[str, int], first_location: int, actor: int):
        self.boundaries = boundaries
        self.actor = actor
        self.rows: dict[str, list[tuple[Any, ...]]] = defaultdict(list)
        self.counts: dict[str, int] = defaultdict(int)
        self.counts["inventory_location"] = first_location - 1
        self.held: dict[tuple[int, int], int] = defaultdict(int)
        self.inside: set[int] = set()
        self.moment = BEGAN
        self.event_id = 0

    @property
    def links(self) -> int:
        """How many links have been written."""
        return self.counts["inventory_link"]

    def take(self) -> dict[str, list[tuple[Any, ...]]]:
        """Hand over the rows written since the last time."""
        rows, self.rows = self.rows, defaultdict(list)
        return rows

    def _add(self, table: str, *values: Any) -> int:
        self.counts[table] += 1
        self.rows[table].append((self.counts[table], *values))
        return self.counts[table]

    def material(self, code: str, kind: str, unit: str, contents: int | None = None) -> int:
        """Enter a material, released on arrival."""
        tolerances, lists = (20_000, 20_000), ("[]", "[]", False, "[]", "", "")
        return self._add("inventory_material", code, code, kind, unit, "released", contents, *tolerances, *lists)

    def party(self, code: str, role: str) -> tuple[int, int]:
        """Enter a party with its location; return both ids."""
        party = self._add("inventory_party", code, code, role)
        return party, self.location(f"{role}:{code}", role, party=party)

    def location(self, code: str, kind: str, *, filling: str = "", party: int | None = None) -> int:
        """Enter a location."""
        vessel = kind in ("fermenter", "bright_tank") or filling == "mixed"
        key = self._add(
            "inventory_location", code, code, kind, filling, vessel, kind == "supplier", None, "", party, False
        )
        if kind not in ("supplier", "customer"):
            self.inside.add(key)
        return key

    def work(self, table: str, code: str, beer: int) -> int:
        """Start a brew or a packaging run; return its location."""
        place = self.location(code, "process")
        self._add(table, code, beer, place, self.moment, self._request("start"))
        return place

    def _request(self, action: str) -> UUID:
        self.counts["kernel_request"] += 1
        key = UUID(int=self.counts["kernel_request"] * _SCATTER % 2**128)
        self.rows["kernel_request"].append((key, action, self.actor, "{}", self.moment, None))
        return key

    def event(self, kind: str, reference: str = "") -> None:
        """Begin an event, a little after the last one; what follows belongs to it."""
        self.moment += A_LITTLE
        request = self._request(kind)
        self.event_id = self._add(
            "inventory_event", kind, self.moment, self.moment, self.actor, request, reference, "", "", None
        )

    def lot(self, material: int, made: int, *, supplier: int | None = None, generation: int | None = None) -> int:
        """Make a lot in the event under way."""
        code = f"L{self.counts['inventory_lot'] + 1}"
        return self._add(
            *("inventory_lot", code, material, self.event_id, self.moment, made, 0, "released"),
            *(None, supplier, code if supplier else "", None, generation),
        )

    def lying(self, lot: int, place: int) -> int:
        """What of the lot lies in a place inside."""
        return self.held.get((lot, place), 0)

    def post(self, lot: int, origin: int | str, target: int | str, quantity: int) -> None:
        """Move a quantity of a lot; a boundary is given by its kind. Raises ValueError where there is less inside."""
        origin, target = self._place(origin), self._place(target)
        self._add("inventory_posting", self.event_id, lot, origin, target, quantity)
        if origin in self.inside:
            self.held[lot, origin] -= quantity
            if self.held[lot, origin] < 0:
                raise ValueError(f"lot {lot} at location {origin} is below zero")
            if not self.held[lot, origin]:
                del self.held[lot, origin]
        if target in self.inside:
            self.held[lot, target] += quantity

    def _place(self, place: int | str) -> int:
        return place if isinstance(place, int) else self.boundaries[place]

    def link(self, parent: int, child: int, quantity: int, kind: int = INGREDIENT) -> None:
        """Say that a quantity of one lot went across into another."""
        self._add("inventory_link", self.event_id, parent, child, kind, quantity, None)

    def mix(
        self, material: int, parts: Sequence[Part], place: int, made: int, loss: int = 0, generation: int | None = None
    ) -> int:
        """Make a lot of parts (lot, where it lies, quantity), all of which go in; it lies in `place`, less the loss."""
        child = self.lot(material, made, generation=generation)
        for lot, origin, quantity in parts:
            self.post(lot, origin, "transformed", quantity)
            self.link(lot, child, quantity)
        self.post(child, "transformed", place, made - loss)
        if loss:
            self.post(child, "transformed", "loss", loss)
        return child
