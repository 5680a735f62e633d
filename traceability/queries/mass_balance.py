"""Mass balance: every part of a lot accounted for, from what was received to where each gram is now."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from inventory.models import Location, Lot, Material
from traceability.queries.graph import Direction, Lying
from traceability.queries.trace import Trace, trace


class Whereabouts(StrEnum):
    """Where a part of a lot ended up."""

    ON_HAND = "on hand"
    IN_PROCESS = "in process"
    IN_TANKS = "in tanks"
    IN_PACKAGED_STOCK = "in packaged stock"
    AT_CUSTOMERS = "at customers"
    IN_YEAST = "in yeast"
    IN_LABORATORY = "in the laboratory"
    LOST = "lost"
    DESTROYED = "destroyed"
    SENT_BACK = "sent back to the supplier"


@dataclass(frozen=True)
class Entry:
    """A part of the subject in one lot at one place, in the subject's micro-units; exact for the subject itself."""

    lot: int
    location: int | None
    whereabouts: Whereabouts
    amount_micro: float


@dataclass(frozen=True)
class Part:
    """What ended up in one way, in the subject's micro-units, and its per cent of the whole."""

    whereabouts: str
    amount_micro: float
    part_percent: float


@dataclass(frozen=True)
class MassBalance:
    """What was received of a lot and where all of it is. Micro-units of the lot.

    `ledger_difference_micro` is what the lot's own postings leave unexplained, exactly; `difference_micro` what all
    ends together do, by shares. Both are 0 in a record that holds together.
    """

    subject: int
    as_of: datetime | None
    received_micro: int
    went_on_micro: int
    ledger_difference_micro: int
    entries: list[Entry]

    @property
    def by_whereabouts(self) -> dict[Whereabouts, float]:
        """The parts summed by where they ended up, in a fixed order, with those that are nothing left out."""
        sums: dict[Whereabouts, float] = defaultdict(float)
        for entry in self.entries:
            sums[entry.whereabouts] += entry.amount_micro
        return {one: sums[one] for one in Whereabouts if sums[one]}

    @property
    def rows(self) -> list[Part]:
        """The parts summed by where they ended up, each with its per cent of what there was in all."""
        whole = self.received_micro or 1
        return [Part(where.value, amount, 100 * amount / whole) for where, amount in self.by_whereabouts.items()]

    @property
    def accounted_micro(self) -> float:
        """The sum of all parts."""
        return sum(entry.amount_micro for entry in self.entries)

    @property
    def difference_micro(self) -> float:
        """What is received and not accounted for."""
        return self.received_micro - self.accounted_micro

    @property
    def closes(self) -> bool:
        """Whether everything is accounted for: exactly by the ledger, to one part in 10^9 by shares."""
        return self.ledger_difference_micro == 0 and abs(self.difference_micro) <= 1e-9 * max(self.received_micro, 1)


def mass_balance(lot: Lot, *, as_of: datetime | None = None) -> MassBalance:
    """Account for every part of a lot, over links of every kind."""
    whole = trace(lot, Direction.FORWARD, as_of=as_of)
    kinds = dict(Location.objects.values_list("pk", "kind"))
    materials = dict(Lot.objects.filter(pk__in=whole.amounts).values_list("pk", "material__kind"))
    received = whole.totals.get(lot.pk, 0)
    entries = [
        Entry(
            row.lot,
            row.location,
            _whereabouts(row, lot.pk, kinds, materials),
            _part(row.lot, row.quantity_micro, whole),
        )
        for rows in whole.lying.values()
        for row in rows
    ]
    entries += [
        Entry(reached, None, Whereabouts.LOST, _part(reached, quantity, whole))
        for reached, quantity in whole.missing.items()
    ]
    own = sum(int(entry.amount_micro) for entry in entries if entry.lot == lot.pk)
    went_on = sum(step.quantity_micro for step in whole.steps if step.parent == lot.pk)
    return MassBalance(
        subject=lot.pk,
        as_of=as_of,
        received_micro=received,
        went_on_micro=went_on,
        ledger_difference_micro=received - own - went_on,
        entries=entries,
    )


def _part(lot: int, quantity_micro: int, whole: Trace) -> float:
    """Return how much of the subject is in that much of a lot: for the subject itself the ledger's whole number."""
    if lot == whole.subject:
        return quantity_micro
    return whole.amounts[lot] * quantity_micro / whole.totals[lot]


def _whereabouts(row: Lying, subject: int, kinds: dict[int, str], materials: dict[int, str]) -> Whereabouts:
    kind = kinds[row.location]
    if kind in Location.STOCK:
        if materials[row.lot] == Material.Kind.PACKAGED:
            return Whereabouts.IN_PACKAGED_STOCK
        in_yeast = materials[row.lot] == Material.Kind.YEAST and row.lot != subject
        return Whereabouts.IN_YEAST if in_yeast else Whereabouts.ON_HAND
    if kind in Location.TANKS:
        return Whereabouts.IN_TANKS
    return {
        Location.Kind.PROCESS.value: Whereabouts.IN_PROCESS,
        Location.Kind.LABORATORY.value: Whereabouts.IN_LABORATORY,
        Location.Kind.CUSTOMER.value: Whereabouts.AT_CUSTOMERS,
        Location.Kind.LOSS.value: Whereabouts.LOST,
        Location.Kind.DESTROYED.value: Whereabouts.DESTROYED,
        Location.Kind.SENT_BACK.value: Whereabouts.SENT_BACK,
    }[kind]
