"""Silos: what lies in each of some silos, and how much more would fit."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from inventory.models import Balance, Location, Material


@dataclass(frozen=True)
class SiloState:
    """What one silo holds now. `room_micro` is None where its capacity is not known."""

    silo: Location
    materials: tuple[Material, ...]
    held_micro: int

    @property
    def room_micro(self) -> int | None:
        """How much more fits, in micro-units of the silo's capacity."""
        capacity = self.silo.capacity_micro
        return None if capacity is None else max(0, capacity - self.held_micro)


def states_of(silos: Iterable[Location]) -> dict[int, SiloState]:
    """Return the state of each of the silos by its key: one query however many."""
    wanted = {silo.pk: silo for silo in silos}
    lying: dict[int, list[Balance]] = defaultdict(list)
    if wanted:
        balances = Balance.objects.filter(location__in=wanted, quantity_micro__gt=0)
        for balance in balances.select_related("lot__material").order_by("lot"):
            lying[balance.location_id].append(balance)
    return {
        key: SiloState(
            silo=silo,
            materials=tuple(dict.fromkeys(balance.lot.material for balance in lying[key])),
            held_micro=sum(balance.quantity_micro for balance in lying[key]),
        )
        for key, silo in wanted.items()
    }
