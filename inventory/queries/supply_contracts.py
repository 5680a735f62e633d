"""Contracts of supply: what was called off of each, and what remains."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from inventory.models import SupplyContract
from inventory.queries.orders import order_lines


@dataclass(frozen=True)
class Calls:
    """One contract, what was called off of it and has come of that, in micro-units.

    Of a closed order what came counts as called off, and nothing else.
    """

    contract: SupplyContract
    called_micro: int
    came_micro: int

    @property
    def remaining_micro(self) -> int:
        """What may still be called off."""
        return max(0, self.contract.quantity_micro - self.called_micro)

    def is_open(self, today: date) -> bool:
        """Return whether something may be called off on that day."""
        inside = self.contract.begins_on <= today <= self.contract.ends_on
        return inside and self.contract.closed_at is None and self.remaining_micro > 0


def contracts() -> QuerySet[SupplyContract]:
    """Return the contracts, the first to end first."""
    return SupplyContract.objects.select_related("supplier", "material")


def calls_of(found: Iterable[SupplyContract]) -> list[Calls]:
    """Return what was called off of each contract, in their order; one statement however many."""
    found = list(found)
    called: dict[int, int] = dict.fromkeys((one.pk for one in found), 0)
    came: dict[int, int] = dict.fromkeys(called, 0)
    for line in order_lines().filter(contract__in=found):
        received = int(line.received_micro)
        came[line.contract_id] += received
        called[line.contract_id] += received if line.order.closed_at else max(line.quantity_micro, received)
    return [Calls(one, called[one.pk], came[one.pk]) for one in found]
