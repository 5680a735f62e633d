"""Turnover: what of a material came, was made, drawn, shipped and lost, so that what is on hand is explained."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Sum

from inventory.models import Event, Location, Material, YearFlow

KIND = Location.Kind
FLOWS: dict[str, tuple[str, str]] = {
    "received": (KIND.SUPPLIER, "Received from suppliers"),
    "made": (KIND.TRANSFORMED, "Made here"),
    "found": (KIND.COUNT_DIFFERENCE, "Found by counts, less what was missing"),
    "used": (KIND.TRANSFORMED, "Made into something else"),
    "drawn": (KIND.PROCESS, "Drawn for brews and runs"),
    "came_back": (KIND.PROCESS, "Came back from brews and runs"),
    "shipped": (KIND.CUSTOMER, "Shipped to customers, less what came back"),
    "sampled": (KIND.LABORATORY, "Taken as samples"),
    "lost": (KIND.LOSS, "Lost"),
    "destroyed": (KIND.DESTROYED, "Destroyed"),
    "sent_back": (KIND.SENT_BACK, "Sent back to suppliers"),
}
"""Each way in or out: the kind of place on its other side, and its name for people."""


@dataclass(frozen=True)
class Turnover:
    """What came in (above zero) and went out (below) of one material by each of `FLOWS`, in micro-units."""

    material: Material
    flows: dict[str, int]

    @property
    def on_hand_micro(self) -> int:
        """What all of it leaves on hand."""
        return sum(self.flows.values())

    @property
    def lines(self) -> list[tuple[str, int]]:
        """The ways that were used, in words."""
        return [(FLOWS[name][1], micro) for name, micro in self.flows.items() if micro]


def turnover_of(materials: Iterable[Material]) -> list[Turnover]:
    """Return the turnover of the materials, in their order; one statement. What was reversed never counted."""
    wanted = list(materials)
    rows = YearFlow.objects.filter(material__in=wanted).order_by()
    sums = rows.values_list("material", "kind", "from_kind", "to_kind").annotate(micro=Sum("quantity_micro"))
    flows: dict[int, dict[str, int]] = defaultdict(lambda: dict.fromkeys(FLOWS, 0))
    for material, kind, source, target, micro in sums:
        name, sign = way_of(kind, source, target)
        if sign:
            flows[material][name] += sign * int(micro)
    return [Turnover(material, flows[material.pk]) for material in wanted]


def way_of(kind: str, source: str, target: str) -> tuple[str, int]:
    """Return by which way it came in (1) or went out (-1), or nothing (0) where it did neither.

    What comes on top of something in a mixed silo goes through a new lot of both; it was received, and not made.
    """
    sign = (target in Location.ON_HAND) - (source in Location.ON_HAND)
    if not sign:
        return "", 0
    other = source if sign > 0 else target
    if other == KIND.TRANSFORMED:
        return ("received" if kind in _MIXES else "made" if sign > 0 else "used"), sign
    if other == KIND.PROCESS:
        return "came_back" if sign > 0 else "drawn", sign
    return _NAMES[other], sign


_MIXES = (Event.Kind.RECEIVE, Event.Kind.REFILL)
_NAMES = {kind: name for name, (kind, _) in FLOWS.items()}
