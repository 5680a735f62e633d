"""What tanks held at past moments."""

from bisect import bisect_right
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from inventory.models import Location
from inventory.queries.layers import flows_at


@dataclass(frozen=True)
class Contents:
    """The lots that lay in one tank, each from a moment on, by key; None from when it was empty."""

    moments: tuple[datetime, ...]
    lots: tuple[int | None, ...]

    def lot_at(self, moment: datetime) -> int | None:
        """Return the key of the lot that the tank held after all that had happened by then."""
        place = bisect_right(self.moments, moment)
        return self.lots[place - 1] if place else None


def contents_over_time(vessels: Collection[Location]) -> dict[int, Contents]:
    """Return what each tank held over time, by its key; one statement. What was reversed never happened."""
    flows = flows_at(vessels)
    found = {}
    for vessel in vessels:
        held: dict[int, int] = {}
        moments, lots = [], []
        for flow in flows.get(vessel.pk, ()):
            left = held.pop(flow.lot, 0) + flow.quantity_micro
            if left > 0:
                held[flow.lot] = left
            moments.append(flow.happened_at)
            lots.append(max(held, default=None))
        found[vessel.pk] = Contents(tuple(moments), tuple(lots))
    return found
