"""Turnover: what of a material came, was made, drawn, shipped and lost, so that what is on hand is explained."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Sum

from inventory.models import Event, Location, Material, Posting

KIND = Location.Kind
FLOWS: dict[str, tuple[str, str]] = {
    "received": (KIND.SUPPLIER, "Received from suppliers"),
    "made": (KIND.TRANSFORMED, "Made here"),
    "found": (KIND.COUNT_DIFFERENCE, "Found by counts, less what was missing"),
    "used": (KIND.TRANSFORMED, "Made into something else"),
    "drawn": (KIND.PROCESS, "Drawn for brews and runs, less what came back"),
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
    stands = Posting.objects.filter(event__reversed_by=None).exclude(event__kind=Event.Kind.REVERSE)
    rows = stands.filter(lot__material__in=wanted).order_by()
    sums = rows.values_list("lot__material", "from_location__kind", "to_location__kind").annotate(
        micro=Sum("quantity_micro")
    )
    ways: dict[int, dict[tuple[str, str], int]] = defaultdict(dict)
    for material, source, target, micro in sums:
        ways[material][source, target] = int(micro)
    return [Turnover(material, _flows(ways[material.pk])) for material in wanted]


def _flows(ways: dict[tuple[str, str], int]) -> dict[str, int]:
    came: dict[str, int] = defaultdict(int)
    went: dict[str, int] = defaultdict(int)
    for (source, target), micro in ways.items():
        if target in Location.ON_HAND and source not in Location.ON_HAND:
            came[source] += micro
        elif source in Location.ON_HAND and target not in Location.ON_HAND:
            went[target] -= micro
    flows = {name: came[kind] + went[kind] for name, (kind, _) in FLOWS.items()}
    return {**flows, "made": came[KIND.TRANSFORMED], "used": went[KIND.TRANSFORMED]}
